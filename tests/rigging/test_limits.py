from math import inf

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from atlas.rigging.limits import (
    ForceLimit,
    clearance_needed_m,
    kept_strength,
    least_rule,
    rule_for,
    set_tension_rules,
    velocity_head_m,
)

RULES = {"rule_of_12": 12.0, "rule_of_18": 18.0, "rule_of_18_from_m": 0.0125}


def test_the_greatest_force_of_a_part():
    # 40 kN wet nylon, wrapped: 34 kN; over five: 6.8 kN
    kept = kept_strength(wet=0.85, end=1.0)
    assert ForceLimit("factor", "rope", 40e3 * kept, 5.0).most_n == pytest.approx(6800.0)
    assert ForceLimit("capture", "device", 5e3, 1.0).most_n == 5e3


@pytest.mark.parametrize(("wet", "end", "kept"), [(0.85, 0.80, 0.68), (0.98, 1.0, 0.98), (1.0, 0.60, 0.60)])
def test_strength_kept_wet_and_with_its_end(wet, end, kept):
    assert kept_strength(wet=wet, end=end) == pytest.approx(kept)


@pytest.mark.parametrize(
    ("speed_m_s", "head_m"),
    [(0.0, 0.0), (1.0, 0.0509858), (2.0, 0.203943), (4.42945, 1.00035)],  # v^2 / 19.6133
)
def test_a_current_piles_up_to_its_velocity_head(speed_m_s, head_m):
    assert velocity_head_m(speed_m_s) == pytest.approx(head_m, rel=1e-4)


def test_clearance_is_the_base_and_the_waves():
    speeds = np.array([0.0, 1.0, 2.0])
    assert clearance_needed_m(base_m=0.9, speed_m_s=speeds) == pytest.approx([0.9, 0.950986, 1.103943])


@pytest.mark.parametrize(
    ("diameter_mm", "rule"),
    [(9.0, 12.0), (11.0, 12.0), (12.0, 12.0), (12.49, 12.0), (12.5, 18.0), (13.0, 18.0)],
)
def test_the_rule_of_a_rope(diameter_mm, rule):
    assert rule_for(diameter_m=diameter_mm * 1e-3, **RULES) == rule
    # half an inch, as it is sold, is 12.7 mm; 12.5 mm told as 0.0125 m or as 12.5 / 1000 is one rope
    assert rule_for(diameter_m=0.5 * 0.0254, **RULES) == 18.0


def test_both_rules_on_set_tension():
    rules = set_tension_rules(
        diameter_m=0.0125, strength_n=41e3, pull_per_person_n=222.0, fraction_of_strength=0.10, **RULES
    )
    assert dict(rules) == pytest.approx({"pretension_rule": 3996.0, "pretension_strength": 4100.0})
    assert least_rule(rules) == ("pretension_rule", 3996.0)
    thin = set_tension_rules(
        diameter_m=0.011, strength_n=26e3, pull_per_person_n=222.0, fraction_of_strength=0.10, **RULES
    )
    assert least_rule(thin) == ("pretension_strength", 2600.0)  # 12 x 222 = 2664


def test_without_rules_nothing_is_limited():
    assert least_rule(()) == ("none", inf)


@given(
    strength=st.floats(5e3, 100e3),
    pull=st.floats(50.0, 500.0),
    share=st.floats(0.01, 0.5),
    diameter=st.floats(0.006, 0.02),
)
def test_the_least_rule_breaks_none(strength, pull, share, diameter):
    rules = set_tension_rules(
        diameter_m=diameter, strength_n=strength, pull_per_person_n=pull, fraction_of_strength=share, **RULES
    )
    most = least_rule(rules)[1]
    assert all(most <= allowed for _, allowed in rules)
    assert most <= 18.0 * pull
    assert most <= share * strength
