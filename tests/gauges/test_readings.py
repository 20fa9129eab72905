"""Latest readings, the hours before them, daily flows."""

from datetime import UTC, date, datetime, timedelta

import pytest

from atlas.gauges.numbers import LeftOut
from atlas.gauges.readings import read_daily, read_latest
from atlas.records import StageAt

FT, CFS = 0.3048, 0.028316846592  # exact: NIST SP 811 (value from memory)
NOW = datetime(2026, 8, 7, 19, 0, tzinfo=UTC)


def reading(code="00065", value="4.10", minutes=15, **changes):
    unit = "ft" if code == "00065" else "ft^3/s"
    return {
        "parameter_code": code, "value": value, "unit_of_measure": unit, "qualifier": None,
        "time": (NOW - timedelta(minutes=minutes)).isoformat(), "approval_status": "Provisional",
    } | changes  # fmt: skip


def latest(rows, trail=()):
    left_out = LeftOut()
    return read_latest("OT G1", rows, trail, left_out, now=NOW), left_out.told()


def test_stage_and_flow_of_one_moment():
    found, told = latest([reading(), reading("00060", "1150"), reading("00010", "12.5")])
    assert told == ()
    assert (found.gauge, found.at, found.provisional) == ("OT G1", NOW - timedelta(minutes=15), True)
    assert (found.stage_m, found.discharge_m3_s) == pytest.approx((4.10 * FT, 1150 * CFS), rel=1e-14)


def test_a_flow_of_another_hour_is_not_this_stages():
    found, _ = latest([reading(), reading("00060", "1150", minutes=200)])
    assert found.discharge_m3_s is None


def test_a_flow_alone():
    found, _ = latest([reading("00060", "1150", approval_status="Approved")])
    assert (found.stage_m, found.discharge_m3_s, found.provisional) == (
        None,
        pytest.approx(1150 * CFS),
        False,
    )


def test_the_hours_before_by_rising_time_and_no_older():
    trail = [reading(value=f"{3 + hour / 10}", minutes=15 + 60 * hour) for hour in range(1, 20)]
    found, told = latest([reading()], trail)
    assert told == ()
    assert found.trail[-1] == StageAt(found.at, found.stage_m)
    assert [one.at for one in found.trail] == sorted(one.at for one in found.trail)
    assert found.trail[0].at == found.at - timedelta(hours=12)


@pytest.mark.parametrize(
    ("row", "told"),
    [
        (reading(qualifier=["ICE", "EQUIP"]), "stage with a remark (ICE, EQUIP)"),
        (reading(qualifier="Eqp"), "stage with a remark (Eqp)"),
        (reading(time="0001-01-01T00:00:00Z"), "stage at no moment there was (0001-01-01T00:00:00Z)"),
        (reading(minutes=-600), "stage at no moment there was (2026-08-08T05:00:00+00:00)"),
        (reading(value="-4e5"), "stage: implausibly small (-4e5 ft)"),
        (reading(unit_of_measure="ft^3/s"), "stage: unit (4.10 ft^3/s)"),
    ],
)
def test_a_reading_that_cannot_be_trusted(row, told):
    assert latest([row]) == (None, (f"1 left out: {told}",))


def test_the_stand_in_for_a_missing_value_is_no_reading():
    assert latest([reading(value="-999999")]) == (None, ())


def test_the_real_features(real):
    # U.S. Geological Survey, station 06904500 (public domain): 1.59 ft and 535 ft3/s on 7 August 2026
    found, told = latest(real["latest-continuous"], real["continuous"])
    assert told == ()
    assert found.at == datetime(2026, 8, 7, 18, 45, tzinfo=UTC)
    assert (found.stage_m, found.discharge_m3_s) == pytest.approx((1.59 * FT, 535 * CFS), rel=1e-14)
    # the two continuous values are of the year before: no trail of this reading
    assert [one.at for one in found.trail] == [found.at]


def day(text, value="20.2", **changes):
    return {
        "parameter_code": "00060", "statistic_id": "00003", "time": text, "value": value,
        "unit_of_measure": "ft^3/s", "qualifier": None,
    } | changes  # fmt: skip


def daily(rows):
    left_out = LeftOut()
    return read_daily(rows, left_out, today=NOW.date()), left_out.told()


def test_days_without_a_value_are_unknown_and_a_dry_one_is_dry():
    found, told = daily(
        [
            day("2026-03-04", "0"),
            day("2026-03-01"),
            day("2026-03-02", "-999999"),
            day("2026-03-02", statistic_id="00001"),
            day("2026-03-02", parameter_code="00065"),
        ]
    )
    assert told == ()
    assert (found.first, found.flows_m3_s) == (date(2026, 3, 1), (pytest.approx(20.2 * CFS), None, None, 0.0))


def test_daily_flows_that_cannot_be_trusted():
    found, told = daily([day("2027-01-01"), day("soon"), day("2026-03-01", "-12")])
    assert found is None
    assert told == (
        "2 left out: a daily flow at no day there was (2027-01-01)",
        "1 left out: daily flow: a negative number (-12 ft^3/s)",
    )


def test_real_daily_flows(real):
    # U.S. Geological Survey, station 05427718 (public domain): 26 December 2025 and 19 March 2026
    found, told = daily(real["daily"])
    assert told == ()
    assert (found.first, len(found.flows_m3_s)) == (date(2025, 12, 26), 84)
    assert (found.flows_m3_s[0], found.flows_m3_s[-1]) == pytest.approx((20.2 * CFS, 27.1 * CFS), rel=1e-14)
    assert set(found.flows_m3_s[1:-1]) == {None}
