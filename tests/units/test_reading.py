from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from atlas.units import Allowed, Quantity, QuantityProblem, read_quantity, shown_raw, units_of

LENGTHS = "m, ft, in, yd, cm, mm, km, mi"
A_LENGTH = f"a number in m, or a number with one of {LENGTHS}"
LIKE = 'write it like 30 or "102 ft"'
RECOUNT = "check number and unit against the survey notes"


@pytest.mark.parametrize(
    ("raw", "quantity", "value"),
    [
        (30, Quantity.LENGTH, 30.0),
        (-2.5, Quantity.LENGTH, -2.5),
        ("102 ft", Quantity.LENGTH, 102 * 0.3048),
        ("102ft", Quantity.LENGTH, 102 * 0.3048),
        (" 102\tfeet ", Quantity.LENGTH, 102 * 0.3048),
        ("102'", Quantity.LENGTH, 102 * 0.3048),
        ("+.5e1 m", Quantity.LENGTH, 5.0),
        ("14 in", Quantity.LENGTH, 0.3556),
        ('14"', Quantity.LENGTH, 0.3556),
        ("10 yd", Quantity.LENGTH, 9.144),
        ("12.5 mm", Quantity.LENGTH, 0.0125),
        ("6.5 mph", Quantity.SPEED, 6.5 * 0.44704),
        ("6 kn", Quantity.SPEED, 6 * 1852 / 3600),
        ("10 fps", Quantity.SPEED, 3.048),
        ("36 km/h", Quantity.SPEED, 10.0),
        ("1850 cfs", Quantity.DISCHARGE, 1850 * 0.028316846592),
        ("52 cms", Quantity.DISCHARGE, 52.0),
        ("40 kN", Quantity.FORCE, 40e3),
        ("9000 lbf", Quantity.FORCE, 9000 * 4.4482216152605),
        ("9000 lb", Quantity.FORCE, 9000 * 4.4482216152605),
        ("10 lb", Quantity.MASS, 4.5359237),
        ("104 g/m", Quantity.MASS_PER_LENGTH, 0.104),
        ("1.5 h", Quantity.MINUTES, 90.0),
        ("90 s", Quantity.MINUTES, 1.5),
        (45, Quantity.MINUTES, 45.0),
        ("215°", Quantity.ANGLE, 215.0),
        ("4 %", Quantity.PERCENT, 4.0),
    ],
)
def test_reads(raw, quantity, value):
    assert read_quantity(raw, quantity) == pytest.approx(value, rel=1e-15)


@pytest.mark.parametrize(
    ("raw", "problem"),
    [
        (None, QuantityProblem("not_a_number", "not a number", "nothing (null)", A_LENGTH, LIKE)),
        (True, QuantityProblem("not_a_number", "not a number", "true", A_LENGTH, LIKE)),
        ([1], QuantityProblem("not_a_number", "not a number", "a list of 1", A_LENGTH, LIKE)),
        ({"a": 1}, QuantityProblem("not_a_number", "not a number", "an object", A_LENGTH, LIKE)),
        ("", QuantityProblem("empty", "empty text where a number belongs", '""', A_LENGTH, LIKE)),
        (" ", QuantityProblem("empty", "empty text where a number belongs", '" "', A_LENGTH, LIKE)),
        ("30", QuantityProblem("unit_missing", "a number as text, without its unit", '"30"', A_LENGTH, LIKE)),
        (
            "12 parsec",
            QuantityProblem(
                "unit_unknown",
                "unknown unit 'parsec'",
                '"12 parsec"',
                LENGTHS,
                "use one of these units, spelled so; capitals count",
            ),
        ),
        (
            "40 kN",
            QuantityProblem(
                "unit_wrong_kind",
                "'kN' is a unit of force, not of length",
                '"40 kN"',
                LENGTHS,
                "give the unit that was meant",
            ),
        ),
        (
            10**400,
            QuantityProblem(
                "not_finite", "not a finite number", "a number of more than 300 digits", A_LENGTH, LIKE
            ),
        ),
        ("nan", QuantityProblem("not_finite", "not a finite number", '"nan"', A_LENGTH, LIKE)),
    ],
)
def test_says_why_not(raw, problem):
    assert read_quantity(raw, Quantity.LENGTH) == problem


@pytest.mark.parametrize(
    ("raw", "code"),
    [
        ("1_000 m", "not_a_number"),
        ("12,5 m", "not_a_number"),
        ("3*4 m", "not_a_number"),
        ("3 m * 4", "unit_unknown"),
        ("12 ft 6 in", "unit_unknown"),
        ("1/2 in", "not_a_number"),
        ("0x10 m", "unit_unknown"),
        ("m", "not_a_number"),
        ("--3 m", "not_a_number"),
        ("12 M", "unit_unknown"),
        ("\N{FULLWIDTH DIGIT ONE}\N{FULLWIDTH DIGIT TWO} ft", "not_a_number"),
        ("12\N{FULLWIDTH DIGIT TWO} ft", "not_a_number"),
        ("\N{ARABIC-INDIC DIGIT THREE} ft", "not_a_number"),
        ("12 \N{FULLWIDTH LATIN SMALL LETTER F}t", "unit_unknown"),
        ("12\N{NO-BREAK SPACE}ft", "not_a_number"),
        ("12 ft\n", "not_a_number"),
        ("1e400 m", "not_finite"),
        ("1e400", "not_finite"),
        ("-Infinity", "not_finite"),
        (math.nan, "not_finite"),
        (-math.inf, "not_finite"),
        ("9" * 61, "not_a_number"),
        ("1" + " " * 100_000 + "\n", "not_a_number"),
        ("1.7e308 km", "not_finite"),
    ],
)
def test_refuses(raw, code):
    answer = read_quantity(raw, Quantity.LENGTH)
    assert isinstance(answer, QuantityProblem)
    assert answer.code == code


def test_knots_and_kilonewtons_stay_apart():
    knots_as_force = read_quantity("12 kn", Quantity.FORCE)
    force_as_speed = read_quantity("12 kN", Quantity.SPEED)
    assert isinstance(knots_as_force, QuantityProblem)
    assert isinstance(force_as_speed, QuantityProblem)
    assert knots_as_force.what == "'kn' is a unit of speed, not of force"
    assert force_as_speed.what == "'kN' is a unit of force, not of speed"


@pytest.mark.parametrize(
    ("raw", "allowed", "code", "what", "allowed_text"),
    [
        (0, Allowed(0, 500, positive=True), "not_positive", "a length that is not more than zero",
         "more than 0 m, at most 500 m"),
        ("-2 ft", Allowed(0, 500, positive=True), "not_positive", "a length that is not more than zero",
         "more than 0 m, at most 500 m"),
        (-1, Allowed(0, 500), "negative", "a negative number", "from 0 m, at most 500 m"),
        (1, Allowed(2, 500), "too_small", "implausibly small", "from 2 m, at most 500 m"),
        ("0.6 km", Allowed(0, 500), "too_large", "implausibly large", "from 0 m, at most 500 m"),
    ],
)  # fmt: skip
def test_limits(raw, allowed, code, what, allowed_text):
    assert read_quantity(raw, Quantity.LENGTH, allowed) == QuantityProblem(
        code, what, shown_raw(raw), allowed_text, RECOUNT
    )


@pytest.mark.parametrize("raw", [0, 500, "500 m"])
def test_bounds_are_allowed(raw):
    assert isinstance(read_quantity(raw, Quantity.LENGTH, Allowed(0, 500)), float)


@settings(deadline=None)  # the first unit pays for importing the converter
@given(st.text(max_size=80) | st.floats() | st.integers() | st.none() | st.booleans() | st.binary(max_size=4))
def test_whatever_comes_is_a_finite_number_or_a_reason(raw):
    for quantity in Quantity:
        answer = read_quantity(raw, quantity)
        if isinstance(answer, QuantityProblem):
            assert answer.what
            assert answer.got.isprintable()
            assert len(answer.got) <= 62
        else:
            assert math.isfinite(answer)


@settings(deadline=None)
@given(
    value=st.floats(min_value=-1e6, max_value=1e6),
    quantity=st.sampled_from(list(Quantity)),
    data=st.data(),
)
def test_each_unit_scales_in_proportion(value, quantity, data):
    unit = data.draw(st.sampled_from(units_of(quantity)))
    one = read_quantity(f"1 {unit}", quantity)
    assert isinstance(one, float)
    assert read_quantity(f"{value!r} {unit}", quantity) == pytest.approx(value * one, rel=1e-15)


def test_control_characters_do_not_pass():
    answer = read_quantity("\x1b[31m3 m\x07", Quantity.LENGTH)
    assert isinstance(answer, QuantityProblem)
    assert answer.got == '"\\x1b[31m3 m\\x07"'
