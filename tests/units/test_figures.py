from __future__ import annotations

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from atlas.units import Figure, Quantity, Toward, UnitSystem, printed, printed_window, read_quantity
from atlas.units.figures import RULES
from atlas.units.printing import Kind

# Rounding to the safe side as the rules of computation list it: up what is needed or felt, down what is
# allowed or held, each figure by name so that a changed direction fails here.
UP = {
    Figure.NEEDED_LENGTH, Figure.FLOOR_LENGTH, Figure.PART_LENGTH, Figure.SHORT_LENGTH, Figure.SPAN,
    Figure.HAUL_TRAVEL, Figure.SPOTTER_DISTANCE, Figure.TRAVEL_FROM, Figure.CLOSEST_BOAT,
    Figure.TIE_HEIGHT_NEEDED, Figure.CLEARANCE_NEEDED, Figure.BOW, Figure.SEATING, Figure.TENSION,
    Figure.SET_TENSION, Figure.WINDOW_LOW, Figure.HAUL_MOST, Figure.STRENGTH_NEEDED, Figure.FACTOR_NEEDED,
    Figure.SPEED, Figure.DAYS_OUTSIDE, Figure.FLOAT_SECONDS, Figure.PULSE_FROM, Figure.MINUTES_TO_ARRIVE,
    Figure.PEOPLE_NEEDED, Figure.INCLUDED_ANGLE, Figure.STATION_DEPTH,
    Figure.BOAT_MOVES, Figure.LOST_TO, Figure.RISE_AN_HOUR,
}  # fmt: skip
DOWN = {
    Figure.ROPE_HELD, Figure.LAUNCHER_REACH, Figure.NEAR_RUN, Figure.TRAVEL_TO, Figure.TIE_HEIGHT,
    Figure.WATER_RISE, Figure.CLEARANCE, Figure.LIMIT_BOW, Figure.SLACK_BUDGET, Figure.WINDOW_HIGH,
    Figure.HAUL_LEAST, Figure.STRENGTH_HELD, Figure.FACTOR, Figure.LIMIT_SPEED, Figure.LIMIT_STAGE,
    Figure.LIMIT_DISCHARGE, Figure.FLOAT_DISTANCE, Figure.PULSE_TO, Figure.MINUTES_LEFT, Figure.PEOPLE_HELD,
    Figure.DANGER_DISTANCE, Figure.ANGLE_MOST, Figure.DEPTH_THERE,
    Figure.DANGER_DISTANCE, Figure.SPOTTER_STANDS, Figure.LAST_CATCH, Figure.LOST_FROM, Figure.REACHED,
    Figure.RISE_TO_STOP, Figure.DANGER_SECONDS, Figure.REACH_SECONDS,
}  # fmt: skip
NEAREST = {
    Figure.ROPE_DIAMETER, Figure.TIE_RISE, Figure.POST_DISTANCE, Figure.ANCHOR_SIZE, Figure.SKEW,
    Figure.STAGE, Figure.DISCHARGE, Figure.COUNT, Figure.LOST_REST,
}  # fmt: skip

QUANTITY = {
    Kind.ROPE_LENGTH: Quantity.LENGTH,
    Kind.DISTANCE: Quantity.LENGTH,
    Kind.GROUND_DISTANCE: Quantity.LENGTH,
    Kind.HEIGHT: Quantity.LENGTH,
    Kind.CLEARANCE: Quantity.LENGTH,
    Kind.STAGE: Quantity.LENGTH,
    Kind.ANCHOR_SIZE: Quantity.LENGTH,
    Kind.ROPE_DIAMETER: Quantity.LENGTH,
    Kind.SPEED: Quantity.SPEED,
    Kind.FORCE: Quantity.FORCE,
    Kind.DISCHARGE: Quantity.DISCHARGE,
    Kind.MINUTES: Quantity.MINUTES,
}
# coarser of the two units' steps, in SI; discharges up to 20 000 m3/s have steps up to 1000 cfs and 100 m3/s
COARSER_STEP = {
    Kind.ROPE_LENGTH: 0.3048,
    Kind.DISTANCE: 0.3048,
    Kind.GROUND_DISTANCE: 1.0,
    Kind.HEIGHT: 0.5 * 0.3048,
    Kind.CLEARANCE: 0.05,
    Kind.STAGE: 0.03048,
    Kind.SPEED: 0.1,
    Kind.FORCE: 100.0,
    Kind.DISCHARGE: 100.0,
    Kind.MINUTES: 1.0,
    Kind.SECONDS: 0.1,
    Kind.FLOAT_SECONDS: 0.5,
    Kind.WHOLE_SECONDS: 1.0,
    Kind.PERCENT: 1.0,
    Kind.FACTOR: 0.1,
    Kind.ANGLE: 1.0,
    Kind.COUNT: 1.0,
}
GUARD = 1.001e-9


def test_every_figure_has_one_rule_and_one_direction_here():
    assert set(RULES) == set(Figure) == UP | DOWN | NEAREST
    assert len(UP) + len(DOWN) + len(NEAREST) == len(Figure)


def read_back(text: str, kind: Kind) -> float:
    if kind in QUANTITY:
        value = read_quantity(text, QUANTITY[kind])
        assert isinstance(value, float)
        return value
    number = re.fullmatch(r"(-?\d+(?:\.\d+)?)(?: s| %|°)?", text)
    assert number is not None
    return float(number.group(1))


@pytest.mark.parametrize("figure", sorted(UP | DOWN))
@settings(deadline=None)  # whichever example comes first pays for importing the converter
@given(value=st.floats(min_value=0.0, max_value=2e4))
def test_read_back_from_print_no_figure_is_on_its_unsafe_side(figure, value):
    rule = RULES[figure]
    shown = printed(figure, value)
    for text in filter(None, (shown.first, shown.second)):
        back = read_back(text, rule.kind)
        step = COARSER_STEP[rule.kind]
        slack = GUARD * max(value, step)
        if figure in UP:
            assert value - slack <= back <= value + step + slack
        else:
            assert value - step - slack <= back <= value + slack


@pytest.mark.parametrize("figure", sorted(NEAREST - {Figure.ROPE_DIAMETER}))
def test_an_observation_goes_to_the_nearest(figure):
    assert RULES[figure].toward is Toward.NEAREST
    si = printed(figure, 10.49, UnitSystem.SI)
    assert read_back(si.first, RULES[figure].kind) == pytest.approx(10.49, abs=0.5)


@pytest.mark.parametrize(
    ("figure", "value", "text"),
    [
        (Figure.NEEDED_LENGTH, 45.03, "148 ft (45.1 m)"),
        (Figure.ROPE_HELD, 200 * 0.3048, "200 ft (60.9 m)"),
        (Figure.LIMIT_SPEED, 2.93, "6.5 mph (2.9 m/s)"),
        (Figure.SPEED, 2.93, "6.6 mph (3.0 m/s)"),
        (Figure.LIMIT_BOW, 5.26, "17.0 ft (5.2 m)"),
        (Figure.BOW, 5.26, "17.5 ft (5.3 m)"),
        (Figure.FLOAT_SECONDS, 10.2, "10.5 s"),
        (Figure.FACTOR, 4.96, "4.9"),
        (Figure.CLEARANCE, 0.899, "2.9 ft (0.85 m)"),
        (Figure.PEOPLE_NEEDED, 2.01, "3"),
        (Figure.LIMIT_STAGE, 1.239, "4.0 ft (1.23 m)"),
        (Figure.MINUTES_LEFT, 29.9, "29 min"),
        (Figure.MINUTES_TO_ARRIVE, 29.1, "30 min"),
    ],
)
def test_as_it_stands_on_the_sheet(figure, value, text):
    assert printed(figure, value).both == text


def test_a_window_is_rounded_inward():
    window = printed_window(low_n=1010.0, high_n=2655.0)
    assert window is not None
    low, high = window
    # 227.06 and 596.87 lbf
    assert low.both == "230 lbf (1.1 kN)"
    assert high.both == "590 lbf (2.6 kN)"
    assert printed_window(low_n=1010.0, high_n=2655.0, system=UnitSystem.SI)[0].first == "1.1 kN"


@pytest.mark.parametrize(
    ("low_n", "high_n"),
    [
        (2005.0, 2005.0),  # one point, on no step
        (1010.0, 1090.0),  # 230 to 240 lbf stay, nothing between 1.1 and 1.0 kN
        (1205.0, 1240.0),  # 270.9 to 278.8 lbf and 1.205 to 1.24 kN: nothing in either
        (1995.0, 2001.0),  # 2.0 kN stays, nothing between 450 and 440 lbf
        (3000.0, 2000.0),  # none to begin with
    ],
)
def test_a_window_that_vanishes_in_rounding_is_none(low_n, high_n):
    assert printed_window(low_n=low_n, high_n=high_n) is None


@settings(deadline=None)
@given(low_n=st.floats(min_value=0, max_value=1e4), width_n=st.floats(min_value=0, max_value=1e4))
def test_a_printed_window_lies_inside_the_computed_one(low_n, width_n):
    window = printed_window(low_n=low_n, high_n=low_n + width_n)
    if window is None:
        assert width_n < 200.0  # two steps of the coarser unit
        return
    for text in (window[0].first, window[0].second):
        assert read_back(text, Kind.FORCE) >= low_n - GUARD * max(low_n, 100.0)
    for text in (window[1].first, window[1].second):
        assert read_back(text, Kind.FORCE) <= (low_n + width_n) * (1 + GUARD) + 1e-7
