"""Needed lengths and hauls against the trade's own figures."""

from math import asinh, sqrt

import pytest

from atlas.rigging.haul import real_advantage
from atlas.rigging.limits import set_tension_rules
from atlas.rigging.lines import ferry_line, launch_line, up_down_line
from atlas.settings import load_settings

FT = 0.3048  # exact, NIST SP 811 (value from memory)


def test_a_100_ft_river_needs_200_ft_of_up_down_line():
    """Common practice, no source: 2:1 at the bow, at least twice the width. Floor is exact."""
    line = up_down_line(
        station_to_carriage_m=0.0,
        bow_strands=2,
        reach_m=10.0 * FT,
        ring_over_bow_m=0.0,
        tail_m=0.0,
        width_m=100.0 * FT,
        spare_fraction=0.0,
        spare_least_m=0.0,
    )
    assert line.floor_m / FT == pytest.approx(200.0, rel=1e-12)
    assert line.needed_m / FT >= 200.0 - 1e-9


def test_each_ferry_line_is_at_least_the_width():
    """Common practice, no source. Floor is exact."""
    line = ferry_line(
        station_to_carriage_m=0.0, tail_m=0.0, width_m=100.0 * FT, spare_fraction=0.0, spare_least_m=0.0
    )
    assert line.needed_m / FT == pytest.approx(100.0, rel=1e-12)


@pytest.mark.parametrize(("efficiency", "advantage"), [(0.5, 1.75), (0.75, 2.31), (0.9, 2.71)])
def test_real_advantage_of_a_3_to_1(efficiency, advantage):
    """Training articles: 3:1 through pulleys of 50, 75, 90 %; printed to two decimals, so 0.005."""
    assert real_advantage("3:1", pulley_efficiency=efficiency) == pytest.approx(advantage, abs=0.005)


@pytest.mark.parametrize(
    ("diameter_mm", "advantage", "people"),
    [(11.0, 1, 12), (11.0, 2, 6), (11.0, 3, 4), (11.0, 6, 2), (12.5, 6, 3), (12.5, 9, 2)],
)
def test_people_times_advantage(diameter_mm, advantage, people):
    """Common practice: people x advantage <= 12 on 11 mm (read), 18 on 12.5 mm (partly from memory).

    The rule is kept as a set tension, people x advantage x pull of one person: exact. One more person
    breaks it.
    """
    limits = load_settings().policy.values.limits
    rules = dict(
        set_tension_rules(
            diameter_m=diameter_mm / 1000.0,
            strength_n=40e3,
            rule_of_12=limits.rule_of_12,
            rule_of_18=limits.rule_of_18,
            rule_of_18_from_m=limits.rule_of_18_from,
            pull_per_person_n=limits.pull_per_person,
            fraction_of_strength=limits.set_fraction_of_strength,
        )
    )
    one_n = limits.pull_per_person * advantage
    assert people * one_n <= rules["pretension_rule"] + 1e-9
    assert (people + 1) * one_n > rules["pretension_rule"]


def test_pull_of_one_person_is_50_lbf():
    """Common practice, no source: 50 lbf sustained; policy rounds it to 222 N, under 0.3 % off."""
    assert load_settings().policy.values.limits.pull_per_person == pytest.approx(
        50 * 4.4482216152605, rel=3e-3
    )


def test_arc_of_a_throw_at_45_degrees():
    """Arc length of y = x - x^2 over 0..1 is (sqrt 2 + asinh 1) / 2 = 1.1478 (calculus); policy has 1.148."""
    arc = (sqrt(2.0) + asinh(1.0)) / 2.0
    policy = load_settings().policy.values.lines.launch_arc
    assert policy == pytest.approx(arc, abs=5e-4)
    line = launch_line(throw_m=30.0, arc=policy, span_m=1.0, spare_fraction=0.0, spare_least_m=0.0)
    assert line.needed_m == pytest.approx(30.0 * arc, rel=5e-4)
