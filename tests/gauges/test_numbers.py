"""Numbers as services give them: strings, units beside them, stand-ins for nothing."""

from datetime import UTC, date, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from atlas.gauges.numbers import AREA, DISCHARGE, FLOW, SPEED, STAGE, WIDTH, LeftOut, day_of, moment_of

FT, CFS = 0.3048, 0.028316846592  # exact: NIST SP 811 (value from memory)


@pytest.mark.parametrize(
    ("raw", "unit", "plausible", "value"),
    [
        ("3.14", "ft", STAGE, 3.14 * FT),
        (" 3.14 ", "ft", STAGE, 3.14 * FT),
        ("-0.20", "ft", STAGE, -0.2 * FT),
        (16, "ft", STAGE, 16 * FT),
        ("535", "ft^3/s", DISCHARGE, 535 * CFS),
        ("1.2e3", "ft^3/s", DISCHARGE, 1200 * CFS),
        ("9.53", "ft^2", AREA, 9.53 * FT * FT),
        ("1.12", "ft/s", SPEED, 1.12 * FT),
        ("12.5", "ft", WIDTH, 12.5 * FT),
        ("3.5", "m", WIDTH, 3.5),
        ("0", "ft^3/s", FLOW, 0.0),
    ],
)
def test_a_value(raw, unit, plausible, value):
    left_out = LeftOut()
    assert left_out.value(raw, unit, plausible, "x") == pytest.approx(value, rel=1e-14)
    assert left_out.told() == ()


@pytest.mark.parametrize("raw", [None, "", "-999999", "-999999.00", -999, "-9999", -9999.0])
def test_nothing_is_nothing_and_no_fault(raw):
    left_out = LeftOut()
    assert left_out.value(raw, "ft", STAGE, "stage") is None
    assert left_out.told() == ()


@pytest.mark.parametrize(
    ("raw", "unit", "plausible", "told"),
    [
        ("NaN", "ft", STAGE, "1 left out: x: text where a number belongs (NaN ft)"),
        ("inf", "ft", STAGE, "1 left out: x: text where a number belongs (inf ft)"),
        ("1e999", "ft", STAGE, "1 left out: x: not a finite number (1e999 ft)"),
        ("Ice", "ft", STAGE, "1 left out: x: text where a number belongs (Ice ft)"),
        ("3,14", "ft", STAGE, "1 left out: x: text where a number belongs (3,14 ft)"),
        ("1" * 80, "ft", STAGE, f"1 left out: x: text where a number belongs ({'1' * 39}…)"),
        ("3.1", "furlong", STAGE, "1 left out: x: unit (3.1 furlong)"),
        ("3.1", "ft^3/s", STAGE, "1 left out: x: unit (3.1 ft^3/s)"),
        ("3.1", "", STAGE, "1 left out: x: unit (3.1)"),
        ("3.1", None, STAGE, "1 left out: x: unit (3.1)"),
        (True, "ft", STAGE, "1 left out: x: not a number (True ft)"),
        (["3.1"], "ft", STAGE, "1 left out: x: not a number (['3.1'] ft)"),
        ("99999", "ft", STAGE, "1 left out: x: implausibly large (99999 ft)"),
        ("0", "ft^3/s", DISCHARGE, "1 left out: x: a discharge that is not more than zero (0 ft^3/s)"),
        ("-4", "ft^3/s", FLOW, "1 left out: x: a negative number (-4 ft^3/s)"),
        ("80", "ft/s", SPEED, "1 left out: x: implausibly large (80 ft/s)"),
    ],
)
def test_what_is_not_trusted_is_left_out_and_told(raw, unit, plausible, told):
    left_out = LeftOut()
    assert left_out.value(raw, unit, plausible, "x") is None
    assert left_out.told() == (told,)


def test_the_same_reason_is_counted_and_the_first_is_shown():
    left_out = LeftOut()
    for raw in ("ice", "eqp"):
        left_out.value(raw, "ft", STAGE, "stage")
    left_out.add("of another station", "USGS-1")
    assert left_out.told() == (
        "2 left out: stage: text where a number belongs (ice ft)",
        "1 left out: of another station (USGS-1)",
    )


@given(
    raw=st.one_of(st.text(max_size=30), st.floats(), st.integers(), st.none(), st.booleans()),
    unit=st.text(max_size=6),
)
def test_whatever_comes_it_is_a_plausible_number_or_nothing(raw, unit):
    value = LeftOut().value(raw, unit, STAGE, "stage")
    assert value is None or STAGE.allowed.least <= value <= STAGE.allowed.most


@pytest.mark.parametrize(
    ("raw", "moment"),
    [
        ("2026-08-07T18:45:00+00:00", datetime(2026, 8, 7, 18, 45, tzinfo=UTC)),
        ("2026-04-03T23:30:00Z", datetime(2026, 4, 3, 23, 30, tzinfo=UTC)),
        ("2026-04-03T23:30:00-05:00", datetime(2026, 4, 4, 4, 30, tzinfo=UTC)),
        ("2026-04-03T23:30:00", None),
        ("0001-01-01T00:00:00Z", None),
        ("9999-12-31T23:59:59-14:00", None),
        ("yesterday", None),
        (1770000000, None),
        (None, None),
    ],
)
def test_a_moment_has_a_zone(raw, moment):
    assert moment_of(raw) == moment


@pytest.mark.parametrize(
    ("raw", "day"),
    [
        ("2014-06-19", date(2014, 6, 19)),
        ("2015-08-06T18:20:30+00:00", date(2015, 8, 6)),
        ("2015-02-30", None),
        ("0001-01-01", None),
        ("19 June 2014", None),
        (None, None),
    ],
)
def test_a_day(raw, day):
    assert day_of(raw) == day
