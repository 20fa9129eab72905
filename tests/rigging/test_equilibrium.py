"""Carriage, ring, boat and the whole rig in equilibrium: each body's forces summed by themselves.

`Carriages` say what every line pulls with; here nothing else is asked of them, so a sum that closes is no
residual of their solver. 1e-9 of the load is asked of each sum.
"""

from dataclasses import replace

import numpy as np
import pytest

from atlas.rigging.asked import Asked
from atlas.rigging.carriages import carriages_at
from atlas.rigging.carried import CarriedRow
from atlas.rigging.ferry import StationPoint
from atlas.rigging.fixtures import Stand, anchor_pulls, stood, up_down_n
from atlas.rigging.setups import table_of
from atlas.rigging.trackline import solve_states

SITES, SHARES = 80, np.array([0.2, 0.35, 0.5, 0.65, 0.8])
CLOSES = 1e-9


def asked_of(sites, *, whole, seed):
    """A question for each site: loads, waters and settings all over what a county has."""
    random = np.random.default_rng(seed)
    count = len(sites)
    return Asked.of(
        site=np.arange(count),
        whole=whole,
        drag_n=random.choice([0.0, 1.0], count, p=[0.2, 0.8]) * random.uniform(100.0, 5000.0, count),
        water_rise_m=random.uniform(-0.5, 1.0, count),
        clearance_m=random.uniform(0.9, 1.4, count),
        set_n=np.exp(random.uniform(np.log(400.0), np.log(4000.0), count)),
        stiffness_n=np.exp(random.uniform(np.log(20e3), np.log(200e3), count)),
        seating_m=random.choice([0.0, 0.15], count),
        raised_m=random.choice([0.0, 0.4], count),
        hauled=random.choice([True, False], count),
    )


class Cut:
    """A batch of carriages cut free, as flat arrays over sites and places."""

    def __init__(self, bodies, sites, asked, state):
        self.bodies, self.state, self.asked = bodies, state, asked
        places = state.at_m.shape[1]

        def each(value):
            return np.repeat(np.asarray(value, dtype=float), places)

        def of(name):
            return each([getattr(site, name) for site in sites])

        self.each, self.of = each, of
        self.at, self.load = (
            state.at_m.ravel(),
            bodies.vector(state.along_n.ravel(), state.downstream_n.ravel(), -state.down_n.ravel()),
        )
        skew = np.radians(of("skew_deg")) * each(asked.whole)
        self.flow = np.stack([np.sin(skew), np.cos(skew)])
        self.tie = of("near_tie_height_m") + each(asked.raised_m)
        self.ring = bodies.vector(self.at, state.bow_m.ravel(), self.tie + state.height_m.ravel())
        self.ring[2] -= of("ring_below_line_m")
        self.drag = each(asked.drag_n)
        self.stations = [
            bodies.vector(
                each([getattr(site, name).x_m for site in sites]),
                each([getattr(site, name).y_m for site in sites]),
                each([getattr(site, name).z_m for site in sites]),
            )
            for name in ("ferry_near", "ferry_far", "up_down")
        ]
        self.scale = of("carriage_weight_n") + self.drag
        self.strands = bodies.strand_way(
            self.ring,
            flow=self.flow,
            reach=of("reach_m"),
            least=of("strand_least_m"),
            bow_ring_z=of("bow_ring_m") + each(asked.water_rise_m),
        )

    def lines(self):
        """Tensions of both ferry lines, without friction, and of the working strand held."""
        rows = self.state.rows
        near, far = rows[CarriedRow.HELD_NEAR].ravel(), rows[CarriedRow.HELD_FAR].ravel()
        return near, far, self.state.strand_n.ravel() / self.of("bow_strands")


@pytest.fixture(scope="module", params=[True, False], ids=["whole system", "drag alone"])
def cut(request, maker, free_bodies):
    sites = maker.drawn(31, SITES)
    asked = asked_of(sites, whole=request.param, seed=32)
    table = table_of(sites)
    return Cut(free_bodies, sites, asked, carriages_at(table, asked, table[0][:, np.newaxis] * SHARES))


def test_the_boat_is_held(cut):
    """Level: what the strands pull is what the current pushes. Their lift, the water answers."""
    pull = cut.state.strand_n.ravel() * cut.bodies.unit(cut.strands)
    assert np.all(np.abs(pull[:2] - cut.drag * cut.flow) <= CLOSES * cut.scale)
    assert np.all(pull[2] <= 0.0)


def test_the_ring_is_held(cut):
    """Weight, strands, working strand and both ferry lines are the load on the carriage."""
    total = cut.state.strand_n.ravel() * cut.bodies.unit(cut.strands)
    total[2] -= cut.of("carriage_weight_n")
    whole = cut.asked.whole.all()
    if whole:
        for station, tension in zip(cut.stations, cut.lines(), strict=True):
            assert np.all(tension >= 0.0)
            total += tension * cut.bodies.unit(station - cut.ring)
    gap = total - cut.load
    # drag alone names the force along the line that is still to be given, and gives it by no line
    axes = (0, 1, 2) if whole else (1, 2)
    for axis in axes:
        assert np.all(np.abs(gap[axis]) <= CLOSES * cut.scale)


def test_the_carriage_is_held_by_both_sides_of_the_rope(cut):
    """Each side followed from its anchor's pull ends there, as tense as told, and both hold the load."""
    asked, state = cut.asked, cut.state
    span, rise, weight = cut.of("span_m"), cut.of("rise_m"), cut.of("weight_n_m")
    stiffness, whole_m = cut.each(asked.stiffness_n), cut.each(state.unstretched_m)
    near_m = solve_states(
        span_m=span, rise_m=rise, unstretched_m=whole_m, weight_n_m=weight, stiffness_n=stiffness,
        at_m=cut.at, downstream_n=state.downstream_n.ravel(), down_n=state.down_n.ravel(),
    ).near_length_m  # fmt: skip
    pulls, place = anchor_pulls(state), cut.bodies.vector(cut.at, state.bow_m.ravel(), state.height_m.ravel())
    at_carriage = []
    for pull, length, tie in (
        (pulls.near_tie, near_m, 0.0 * place),
        (pulls.far_tie, whole_m - near_m, cut.bodies.vector(span, 0.0, rise)),
    ):
        way, end = cut.bodies.rope_end(pull.reshape(3, -1), length, weight=weight, stiffness=stiffness)
        # closed to 1e-11 of the span, and both solvers' lengths of the near side to as much: some 1e-9 m
        np.testing.assert_allclose(tie + way, place, rtol=0, atol=1e-7)
        np.testing.assert_allclose(cut.bodies.size(end), state.tension_n.ravel(), rtol=1e-9)
        at_carriage.append(end)
    gap = at_carriage[0] + at_carriage[1] + cut.load
    assert np.all(cut.bodies.size(gap) <= CLOSES * cut.bodies.size(cut.load))


def frictionless(maker, seed, count):
    """Sites whose pulleys lose nothing: then what the anchors stand is what holds, and no more."""
    return [replace(site, pulley_efficiency=1.0) for site in maker.drawn(seed, count)]


ON = ("ferry_near_on_tie", "ferry_far_on_tie", "up_down_on_tie", "up_down_on_ferry")


def sharing(site, flags):
    """The same site with lines tied to the same anchors, which then are one place."""
    near, far = (
        StationPoint(0.0, 0.0, site.near_tie_height_m),
        StationPoint(site.span_m, 0.0, site.near_tie_height_m + site.rise_m),
    )
    shared = dict(zip(ON, flags, strict=True))
    ferry_near = near if shared["ferry_near_on_tie"] else site.ferry_near
    up_down = site.up_down
    if shared["up_down_on_tie"]:
        up_down = near
    elif shared["up_down_on_ferry"]:
        up_down = ferry_near
    ferry_far = far if shared["ferry_far_on_tie"] else site.ferry_far
    return replace(site, ferry_near=ferry_near, ferry_far=ferry_far, up_down=up_down, **shared)


# a near anchor for all three lines carries all three names
SHARED = [
    (False, False, False, False),
    (True, False, False, False),
    (False, True, False, False),
    (False, False, True, False),
    (False, False, False, True),
    (True, True, True, True),
    (False, True, False, True),
]


@pytest.mark.parametrize("flags", SHARED, ids=lambda flags: "".join("ny"[flag] for flag in flags))
def test_the_anchors_hold_the_whole_rig(maker, free_bodies, flags):
    """What all lines pull on all anchors is the current, the strands' pull on the boat, and every weight."""
    sites = [sharing(site, flags) for site in frictionless(maker, 33, 40)]
    table = table_of(sites)
    asked = asked_of(sites, whole=True, seed=34)
    asked = replace(asked, raised_m=np.zeros(len(sites)))  # raised ties leave the stations where they are
    state = carriages_at(table, asked, table[0][:, np.newaxis] * np.array([0.3, 0.5, 0.7]))
    cut = Cut(free_bodies, sites, asked, state)
    pulls = anchor_pulls(state)
    each = {
        "near": pulls.near_tie, "far": pulls.far_tie, "ferry_near": pulls.ferry_near,
        "ferry_far": pulls.ferry_far, "up_down": pulls.up_down,
    }  # fmt: skip
    near_on, far_on, up_on, up_on_ferry = flags
    same = [("near", "ferry_near", near_on), ("far", "ferry_far", far_on), ("near", "up_down", up_on)]
    same += [("ferry_near", "up_down", up_on_ferry and not up_on)]
    for one, other, shared in same:
        if shared:  # one anchor under two names, counted once
            np.testing.assert_allclose(each.pop(other, each.get(one)), each[one], rtol=1e-12, atol=1e-9)
    total = sum(each.values()).reshape(3, -1)
    current = cut.bodies.vector(cut.drag * cut.flow[0], cut.drag * cut.flow[1], 0.0)
    lift = (state.strand_n.ravel() * cut.bodies.unit(cut.strands))[2]
    rope = cut.of("weight_n_m") * cut.each(state.unstretched_m)
    weights = cut.bodies.vector(0.0, 0.0, lift - cut.of("carriage_weight_n") - rope)
    scale = cut.scale + rope
    assert np.all(np.abs(total - current - weights) <= CLOSES * scale)


def test_each_anchor_is_pulled_along_its_line(cut):
    """Size and direction: toward the ring with the line's tension, friction and haul counted."""
    pulls, state = anchor_pulls(cut.state), cut.state
    for station, pull, tension in zip(
        cut.stations,
        (pulls.ferry_near, pulls.ferry_far, pulls.up_down),
        (state.ferry_near_n, state.ferry_far_n, up_down_n(state)),
        strict=True,
    ):
        expected = tension.ravel() * cut.bodies.unit(cut.ring - station)
        np.testing.assert_allclose(pull.reshape(3, -1), expected, rtol=1e-12, atol=1e-9)
    sizes = stood(state)
    for stand, pull in ((Stand.NEAR_TIE, pulls.near_tie), (Stand.FAR_TIE, pulls.far_tie)):
        np.testing.assert_allclose(sizes[stand], cut.bodies.size(pull), rtol=1e-12)


def test_the_ferry_lines_hold_what_is_asked_and_are_dry(cut):
    """Least tensions by the parabola; one line alone gives what is left, and friction is on top."""
    if not cut.asked.whole.all():
        assert not cut.state.ferry_near_n.any()
        assert not cut.state.ferry_far_n.any()
        return
    bodies, state = cut.bodies, cut.state
    floor = cut.each(cut.asked.water_rise_m + cut.asked.clearance_m)
    ways = [station - cut.ring for station in cut.stations]
    least = [
        bodies.least_tension(
            way,
            ring_over_floor=cut.ring[2] - floor,
            station_over_floor=station[2] - floor,
            weight=cut.of("ferry_weight_n_m"),
        )
        for way, station in zip(ways[:2], cut.stations[:2], strict=True)
    ]
    near, far, working = cut.lines()
    given = cut.drag * cut.flow[0] + working * bodies.unit(ways[2])[0]
    expected_near, expected_far, left = bodies.ferry_tensions(cut.load[0] - given, ways=ways[:2], least=least)
    # a tension is the force along the line over the line's leverage, which is a tenth at the least here
    np.testing.assert_allclose(near, expected_near, rtol=0, atol=1e-7 * cut.scale.max())
    np.testing.assert_allclose(far, expected_far, rtol=0, atol=1e-7 * cut.scale.max())
    rub = 0.5 * (1.0 - cut.of("pulley_efficiency")) * bodies.size(cut.load)
    for told, base, way, sign in (
        (state.ferry_near_n, least[0], ways[0], -1.0),
        (state.ferry_far_n, least[1], ways[1], 1.0),
    ):
        moved = base + np.maximum(sign * left + rub, 0.0) / np.abs(bodies.unit(way)[0])
        np.testing.assert_allclose(told.ravel(), moved, rtol=1e-7, atol=1e-6)
