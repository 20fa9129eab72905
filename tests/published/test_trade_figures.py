"""More figures of the trade against templates and the core's functions, each with where it comes from.

Read or from memory is said beside each; inputs in the source's units.
"""

from math import exp, pi

import pytest

from atlas.rigging import Rope, TrackLine
from atlas.rigging.fixtures import Stand
from atlas.rigging.limits import ForceLimit, governing, kept_strength, most_forces
from atlas.rigging.lines import up_down_line
from atlas.rigging.rope import stiffness_bounds_from_10pct, stiffness_from_10pct
from atlas.settings import load_settings

LBF_N = 4.4482216152605  # NIST SP 811 (value from memory)
FT_M = 0.3048


@pytest.fixture(scope="module")
def settings():
    return load_settings()


@pytest.fixture(scope="module")
def policy(settings):
    return settings.policy.values


@pytest.fixture(scope="module")
def rig(settings):
    return settings.rig("movable-control-point")


@pytest.mark.parametrize(("friction", "turns", "ratio"), [(0.25, 3.0, 111.3), (0.3, 1.0, 6.586)])
def test_a_wrap_holds_by_the_capstan_equation(policy, friction, turns, ratio):
    """Capstan equation, e^(mu phi) (read): mu 0.25 and 3 turns 111.3, mu 0.3 and 1 turn 6.586; as printed.

    What it bears on is the number of wraps of the far tie-off: at the lower friction they leave the tail,
    under the greatest load inside plan, less than one person pulls, so that no knot in it is loaded and the
    standing line keeps its strength. One wrap at the higher friction would not.
    """
    assert exp(friction * 2.0 * pi * turns) == pytest.approx(ratio, rel=5e-4)
    most_n = policy.planning_rope.strength * policy.wet.nylon / policy.limits.factor_track
    tail_n = most_n / ratio
    assert (tail_n < policy.limits.pull_per_person) is (turns >= 3.0)
    assert policy.lines.wraps >= 3.0


# UFC 4-159-03 (2005), equations 11 to 13 and table 4-6 (read): a hull broadside, draught over depth, kip
BROADSIDE = [(0.096, 123.0), (0.288, 148.0), (0.576, 231.0), (0.72, 293.0), (0.96, 427.0)]


def test_a_boat_broached_on_a_bar_is_taken_for_what_shallow_water_makes_of_it(policy):
    """C = C0 + (3.2 - C0) (T / d)^2 with C0 0.847 (read); the table's ratios within 0.3 %, its rounding.

    Water that must squeeze past under a hull pushes it up to 3.8 times as hard, 3.5 times in the table's
    shallowest. The policy's broached boat is 2.9 times the swamped one: more than in water a third deeper
    than the hull (2.4 times), less than nearly aground.
    """
    deep = 0.847

    def coefficient(share):
        return deep + (3.2 - deep) * share**2

    first_share, first_kip = BROADSIDE[0]
    for share, kip in BROADSIDE:
        assert kip / first_kip == pytest.approx(coefficient(share) / coefficient(first_share), rel=3e-3)
    times = policy.cases["broached"].area / policy.cases["boat-swamped"].area
    kip = dict(BROADSIDE)
    assert kip[0.72] / first_kip < times < kip[0.96] / first_kip


@pytest.mark.parametrize("percent", [1.0, 3.0, 6.0, 10.0])
@pytest.mark.parametrize("kilonewton", [20.0, 40.0])
def test_every_life_safety_rope_lies_in_the_range_shown(policy, percent, kilonewton):
    """Life-safety rope stretches 1 to 10 % at 10 % of its strength (NFPA 1983/2500, read; static to 6 %,
    low-stretch 6 to 10 %, Cordage Institute CI 1801, read), and is 20 or 40 kN strong at least (from memory).

    At both bounds of its stiffness the track line can be computed.
    """
    stiffness = stiffness_from_10pct(strength_n=kilonewton * 1e3, elongation=percent / 100.0)
    bounds = stiffness_bounds_from_10pct(
        stiffness_n=stiffness,
        low_factor=policy.stiffness.low_of_10pct,
        high_factor=policy.stiffness.high_of_10pct,
    )
    for bound in (bounds.low_n, bounds.high_n):
        rope = Rope(strength_n=kilonewton * 1e3, weight_n_m=1.0, stiffness_n=bound)
        track = TrackLine(span_m=30.0, rise_m=0.0, rope=rope, pretension_n=1000.0)
        # set to 1 kN it stretches by 1 kN over EA, to a fiftieth of that for its weight
        assert 30.0 / float(track.unstretched_m) - 1.0 == pytest.approx(1000.0 / bound, rel=0.02)


def test_throw_lines_are_as_strong_as_the_standard_asks(rig):
    """NFPA 2500 (2022): a throwline at least 13 kN (from memory)."""
    (bag,) = [rule for rule in rig.gear if rule.item == "throw_bag"]
    assert bag.rating_kn >= 13


def test_the_line_that_goes_over_first_floats_and_outlasts_a_line_thrower_s(rig):
    """SOLAS LSA Code 7.1 (read): a line-throwing appliance's line holds at least 2 kN.

    The messenger, which it brings over and which brings over the track line, holds more, and floats.
    """
    (messenger,) = [line for line in rig.line if line.name == "messenger"]
    for rope in messenger.rope:
        assert rope.strength_least_kn > 2
        assert rope.kinds == ["floating"]


@pytest.mark.parametrize("span_ft", [200.0, 400.0, 600.0])
def test_a_line_set_to_the_sag_of_an_overhead_cable(policy, span_ft):
    """TM 5-5420-278-10 (read): an overhead cable over a river begins with 2 % of sag.

    The planning rope set to what gives it by the parabola, w L / (8 x 0.02), with the weight of a metre as
    stretched, hangs so. The catenary of that tension sags u^2 / 12 more, u = w L / 2 H = 0.08: 5e-4.
    """
    rope, span = policy.planning_rope, span_ft * FT_M
    set_n = rope.weight * span / (8.0 * 0.02)
    track = TrackLine(
        span_m=span,
        rise_m=0.0,
        rope=Rope(strength_n=rope.strength, weight_n_m=rope.weight, stiffness_n=rope.stiffness),
        pretension_n=set_n,
    )
    sag = -float(track.unloaded_height_m(0.5 * span)) / span
    assert sag * (1.0 + set_n / rope.stiffness) == pytest.approx(0.02, rel=1e-3)


def test_a_100_ft_river_needs_200_ft_with_the_rig_s_own_strands(rig, policy):
    """Common practice, no source: with 2:1 at the bow at least 200 ft of up-down line over 100 ft of river.

    With the template's strands and the policy's tail and spare, the boat worked right under the track line.
    """
    lines = policy.lines
    line = up_down_line(
        station_to_carriage_m=100.0 * FT_M,
        bow_strands=rig.bow_strands,
        reach_m=0.0,
        ring_over_bow_m=0.0,
        tail_m=lines.tail_tended,
        width_m=100.0 * FT_M,
        spare_fraction=lines.spare_fraction,
        spare_least_m=lines.spare_least,
    )
    assert rig.bow_strands == 2
    assert line.needed_m / FT_M == pytest.approx(200.0, rel=1e-12)


def test_a_system_s_factor_is_that_of_its_weakest_part(rig, policy):
    """Static system factor = strength over load of the weakest part (training articles, read).

    9,000 lbf static rope, wet nylon, wrapped; connectors and link of the template.
    """
    rope_n = 9000.0 * LBF_N * kept_strength(wet=policy.wet.nylon, end=policy.ends.wraps)
    limits = [ForceLimit("factor", "rope", rope_n, policy.limits.factor_track)]
    limits += [
        ForceLimit("factor", part.name, part.rating_kn * 1e3, policy.limits.factor_track)
        for part in rig.part
        if part.stands == "tension"
    ]
    weakest = min([rope_n, *(part.rating_kn * 1e3 for part in rig.part if part.stands == "tension")])
    found = governing(limits, Stand.TENSION)
    assert found.strength_n == weakest
    assert most_forces([limits])[Stand.TENSION, 0] == pytest.approx(weakest / policy.limits.factor_track)


@pytest.mark.parametrize(("slope", "lb_ft2"), [("1:1", 2800.0), ("1:2", 3600.0), ("1:3", 4000.0)])
def test_what_face_of_a_deadman_a_track_anchor_s_least_asks(policy, slope, lb_ft2):
    """TM 5-5420-278-10, table 9 (read): 5 ft deep, pull rising 1:1, 1:2, 1:3; in wet or sandy ground half.

    The policy's least of a track anchor is a log with a face of 2 ft2 to 4 ft2.
    """
    face_ft2 = policy.limits.anchor_track_least / (0.5 * lb_ft2 * LBF_N)
    assert 2.0 < face_ft2 < 4.0, slope
