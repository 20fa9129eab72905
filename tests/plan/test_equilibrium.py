"""Every printed state of the demo county in equilibrium, and given back by the track line it was printed for.

The sums of forces are written out beside the rigging tests, with nothing of the package in them; the figures
of loads and geometry are the trade's, typed here. 1e-9 of the load is asked of each sum.
"""

import json
from dataclasses import dataclass

import numpy as np
import pytest

from atlas.rigging import Rope, TrackLine
from atlas.workings import workings_json

# the trade rules' figures, which the demo county does not change
CARRIAGE_N, RING_BELOW_M, BOW_RING_M, STRAND_LEAST_M = 120.0, 0.30, 0.30, 3.0
FERRY_N_M, STRANDS, PULLEY = 0.8, 2, 0.80
DRAG_MOST_N = 9e3  # a greater drag is not put on a line, and the verdict says so
CLOSES = 1e-9


def rig_of(plan):
    (rig,) = [rig for rig in plan.rigs if rig.rig == "movable-control-point"]
    return rig


def station_of(rig, use, bank):
    """x, y and height of the anchor a line is worked from; a track line's only where no other serves."""
    found = [
        anchor
        for anchor in rig.anchors
        if use in anchor.uses and anchor.bank == bank and anchor.load_n is not None
    ]
    anchor = min(found, key=lambda one: "track" in one.uses)
    return np.array([*anchor.at, anchor.height_m])[:, np.newaxis]


@dataclass(frozen=True)
class Printed:
    """All printed states of one site, flat: of greatest tension, least clearance and greatest bow.

    `load` is what acts on the carriage but the track line; `what` says which value it was printed for.
    """

    plan: object
    rig: object
    what: np.ndarray
    cases: list
    stages: list
    places: list

    def of(self, name):
        return np.array([getattr(place, name) for place in self.places])

    @property
    def load(self):
        return np.stack([self.of("along_n"), self.of("downstream_n"), self.of("up_n")])

    @property
    def scale(self):
        return CARRIAGE_N + self.drag

    @property
    def drag(self):
        return np.minimum([case.drag_n for case in self.cases], DRAG_MOST_N)

    @property
    def water(self):
        return np.array([stage.rise_m for stage in self.stages])

    def line(self):
        """The track line of each state as it was set, by the package."""
        rope, frame = self.rig.rope, self.plan.frame
        return TrackLine(
            span_m=frame.span_m,
            rise_m=frame.rise_m,
            rope=Rope(
                strength_n=rope.strength_n, weight_n_m=rope.weight_n_m, stiffness_n=self.of("stiffness_n")
            ),
            pretension_n=self.of("pretension_n"),
            seating_m=self.of("seating_m"),
        )

    def state(self):
        return self.line().loaded(
            at_m=self.of("at_m"), downstream_n=self.of("downstream_n"), down_n=-self.of("up_n")
        )


@pytest.fixture(scope="module")
def printed(demo):
    found = {}
    for code, plan in demo.plans.items():
        rig = rig_of(plan)
        rows = [
            (what, case, stage, place)
            for stage in rig.stages
            for case in stage.cases
            for what, place in (
                ("tension", case.tension_at),
                ("clearance", case.clearance_at),
                ("bow", case.bow_at),
            )
        ]
        what, cases, stages, places = zip(*rows, strict=True)
        found[code] = Printed(plan, rig, np.array(what), cases, stages, places)
    return found


@pytest.fixture
def here(plan, printed):
    return printed[plan.site.code]


class Ring:
    """The ring of each printed state, and the ways from it."""

    def __init__(self, bodies, here):
        state, frame = here.state(), here.plan.frame
        whole = here.of("whole")
        skew = np.radians(frame.skew_deg) * whole
        self.flow = np.stack([np.sin(skew), np.cos(skew)])
        height = frame.near_tie_height_m + state.height_m - RING_BELOW_M
        self.at = bodies.vector(here.of("at_m"), state.downstream_m, height)
        self.strands = bodies.strand_way(
            self.at,
            flow=self.flow,
            reach=frame.reach_down_m / np.cos(np.radians(frame.skew_deg)),
            least=STRAND_LEAST_M,
            bow_ring_z=BOW_RING_M + here.water,
        )
        self.pull = bodies.strands_that_hold(here.drag, self.strands)
        self.stations = [
            station_of(here.rig, *which)
            for which in (("ferry", "near"), ("ferry", "far"), ("up_down", "near"))
        ]
        self.ways = [station - self.at for station in self.stations]

    def least(self, bodies, here):
        """Least tensions of both ferry lines."""
        floor = here.water + [case.clearance_needed_m for case in here.cases]
        return [
            bodies.least_tension(
                way,
                ring_over_floor=self.at[2] - floor,
                station_over_floor=station[2] - floor,
                weight=FERRY_N_M,
            )
            for way, station in zip(self.ways[:2], self.stations[:2], strict=True)
        ]


def test_states_of_both_systems_are_printed(printed):
    """What follows is asked of the whole system of forces and of drag alone.

    Ferry lines draw the carriage upriver, so that the greatest bow is always drag's alone.
    """
    for what, least, most in (("tension", 0.02, 0.98), ("clearance", 0.02, 0.98), ("bow", 0.0, 0.0)):
        whole = np.concatenate([one.of("whole")[one.what == what] for one in printed.values()])
        assert least <= whole.mean() <= most, what
    assert sum(len(one.places) for one in printed.values()) > 800


def test_the_carriage_is_in_equilibrium(here, free_bodies):
    """Both sides of the rope, followed from the anchors' pulls by Irvine's equations, meet and hold it."""
    state, line = here.state(), here.line()
    weight, stiffness = here.rig.rope.weight_n_m, here.of("stiffness_n")
    frame = here.plan.frame
    place = free_bodies.vector(here.of("at_m"), state.downstream_m, state.height_m)
    total = here.load.copy()
    for pull, length, tie in (
        (state.near_pull, state.near_length_m, (0.0, 0.0, 0.0)),
        (state.far_pull, line.unstretched_m - state.near_length_m, (frame.span_m, 0.0, frame.rise_m)),
    ):
        anchor = free_bodies.vector(pull.along_n, pull.downstream_n, pull.up_n)
        way, end = free_bodies.rope_end(anchor, length, weight=weight, stiffness=stiffness)
        # 1e-11 of the span, and round-off of some 1e4 m of H / w
        np.testing.assert_allclose(np.transpose([tie]) + way, place, rtol=0, atol=1e-8)
        np.testing.assert_allclose(free_bodies.size(end), state.tension_n, rtol=1e-9)
        total += end
    assert np.all(free_bodies.size(total) <= CLOSES * free_bodies.size(here.load))


def test_the_steel_ring_is_in_equilibrium(here, free_bodies):
    """Weight, strands, and with the whole system working strand and ferry lines, are the printed load.

    Along the line the ferry lines give what is asked of them, so that it closes by what they are; downstream
    and down are the proof. With drag alone nothing gives what is asked along the line.
    """
    ring, whole = Ring(free_bodies, here), here.of("whole")
    total = ring.pull * free_bodies.unit(ring.strands)
    total[2] -= CARRIAGE_N
    working = ring.pull / STRANDS
    given = total[0] + working * free_bodies.unit(ring.ways[2])[0]
    near, far, _ = free_bodies.ferry_tensions(
        here.load[0] - given, ways=ring.ways[:2], least=ring.least(free_bodies, here)
    )
    for way, tension in zip(ring.ways, (near, far, working), strict=True):
        total += np.where(whole, tension, 0.0) * free_bodies.unit(way)
    gap = np.abs(total - here.load)
    assert np.all(gap[0][whole] <= CLOSES * here.scale[whole])
    assert np.all(gap[1:] <= CLOSES * here.scale)


def strand_tension(bodies, ring, here):
    """Of one strand, from the printed load alone: what is left of it when the weight is taken off.

    With the whole system three unknowns, a strand's tension (working strand too) and the two ferry lines',
    for three sums; with drag alone the strands are all there is.
    """
    whole = here.of("whole")
    rest = here.load + np.array([[0.0], [0.0], [CARRIAGE_N]])
    along = bodies.unit(ring.strands)
    alone = np.hypot(rest[1], rest[2]) / STRANDS
    near, far, working = (bodies.unit(way) for way in ring.ways)
    columns = np.stack([STRANDS * along + working, near, far], axis=-1).transpose(1, 0, 2)
    solved = np.linalg.solve(columns, rest.T[..., np.newaxis])[:, :, 0]
    # lines pull; an empty carriage has no strands
    assert np.all(solved[whole] > [[-1e-6, 0.0, 0.0]])
    return np.where(whole, solved[:, 0], alone), np.where(whole, np.linalg.cond(columns), 1.0)


def test_the_boat_is_in_equilibrium(here, free_bodies):
    """At the bow ring: the strands, from the printed load alone, hold what the current pushes with."""
    ring = Ring(free_bodies, here)
    each, condition = strand_tension(free_bodies, ring, here)
    level = STRANDS * each * free_bodies.unit(-ring.strands)[:2] + here.drag * ring.flow
    # the ring's sums close to 1e-10; solved for three tensions that is as much more as their directions lie
    # close together (1e-9 at most where all three stand well apart)
    assert np.all(np.abs(level) <= 1e-10 * here.scale * np.maximum(condition, 10.0))
    tight = here.what == "tension"
    hold = np.array([case.up_down_hold_n for case in here.cases])
    haul = np.array([case.up_down_haul_n for case in here.cases])
    assert np.all(each[tight] <= hold[tight] * (1.0 + 1e-8) + 1e-6)
    # through the low pulley and the bow pulley: each passes on 0.80, so 0.80 + 0.64 of the pull arrives
    np.testing.assert_allclose(haul * (PULLEY + PULLEY**2), hold * STRANDS, rtol=1e-12)


def test_ferry_lines_are_printed_no_weaker_than_the_tightest_state_asks(here, free_bodies):
    """With the friction of the carriage's pulley, (1 - 0.80) / 2 of what it stands."""
    tight = (here.what == "tension") & here.of("whole")
    ring, load = Ring(free_bodies, here), here.load
    least = ring.least(free_bodies, here)
    given = (ring.pull * free_bodies.unit(ring.strands))[0]
    given = given + ring.pull / STRANDS * free_bodies.unit(ring.ways[2])[0]
    _, _, left = free_bodies.ferry_tensions(load[0] - given, ways=ring.ways[:2], least=least)
    rub = 0.5 * (1.0 - PULLEY) * free_bodies.size(load)
    for name, line, sign in (("ferry_near_n", 0, -1.0), ("ferry_far_n", 1, 1.0)):
        lever = np.abs(free_bodies.unit(ring.ways[line])[0])
        asked = least[line] + np.maximum(sign * left + rub, 0.0) / lever
        told = np.array([getattr(case, name) for case in here.cases])
        assert np.all(asked[tight] <= told[tight] * (1.0 + 1e-6) + 1e-3)


def test_the_workings_give_every_value_back(here, free_bodies):
    """`TrackLine` with the values beside each printed tension and clearance, of the JSON alone."""
    found = json.loads(workings_json(here.plan))
    (rig,) = [rig for rig in found["rigs"] if rig["rig"] == "movable-control-point"]
    (near,) = [
        anchor
        for anchor in rig["anchors"]
        if "track" in anchor["uses"] and anchor["bank"] == "near" and anchor["load_n"] is not None
    ]
    rows = [(stage, case) for stage in rig["stages"] for case in stage["cases"]]

    def again(key):
        places = [case[key] for _, case in rows]
        along, downstream, up = np.transpose([place["load_n"] for place in places])
        at, pretension, stiffness, seating = (
            np.array([place[name] for place in places])
            for name in ("at_m", "pretension_n", "stiffness_n", "seating_m")
        )
        track = TrackLine(
            span_m=found["span_m"],
            rise_m=found["rise_m"],
            rope=Rope(
                strength_n=rig["rope"]["strength_n"],
                weight_n_m=rig["rope"]["weight_n_m"],
                stiffness_n=stiffness,
            ),
            pretension_n=pretension,
            seating_m=seating,
        )
        return track.loaded(at_m=at, downstream_n=downstream, down_n=-up), along

    tight, along = again("tension_at")
    tension = np.array([case["tension_n"] for _, case in rows])
    np.testing.assert_allclose(tight.tension_n, tension, rtol=1e-8)
    assert np.all(np.abs(tight.along_n - along) <= 1e-8 * tension)
    low, along = again("clearance_at")
    carriage = near["height_m"] + low.height_m - [stage["rise_m"] for stage, _ in rows]
    for (_, case), height in zip(rows, carriage, strict=True):
        lowest, part = case["lowest_line"], case["clearance_part"]
        if lowest is None:
            assert part == "hardware"
            assert height - RING_BELOW_M == pytest.approx(case["clearance_m"], abs=1e-7)
            continue
        end = height - (0.0 if part == "track-line" else RING_BELOW_M)
        assert lowest["carriage_end_m"] == pytest.approx(end, abs=1e-7)
        assert lowest["over_water_m"] == case["clearance_m"] < height - RING_BELOW_M
        bank = free_bodies.vector(0.0, 0.0, end - lowest["rise_m"])
        heights = free_bodies.catenary_heights(
            (bank, free_bodies.vector(lowest["run_m"], 0.0, end)),
            tension=lowest["tension_n"],
            weight=lowest["weight_n_m"],
            shares=np.linspace(lowest["dry_share"], 1.0, 2000),
        )
        assert heights.min() == pytest.approx(case["clearance_m"], abs=1e-5)
    assert np.all(np.abs(low.along_n - along) <= 1e-8 * low.tension_n)


def test_the_greatest_bow_comes_back_from_its_place(here):
    bowed = here.what == "bow"
    found = here.state().downstream_m[bowed]
    told = [case.bow_m for case in here.cases]
    np.testing.assert_allclose(found, np.array(told)[bowed], rtol=0, atol=1e-7)
    # the worst over both bounds and the haul's least and most, seated
    haul, rope = here.rig.haul, here.rig.rope
    hung = here.what != "tension"
    assert set(here.of("pretension_n")[hung]) <= {haul.least_n, haul.most_n}
    assert set(here.of("stiffness_n")[hung]) <= {rope.stiffness_low_n, rope.stiffness_high_n}
    assert set(here.of("seating_m")[hung]) == {0.15}
    assert set(here.of("pretension_n")[~hung]) == {haul.most_n}
    assert set(here.of("stiffness_n")[~hung]) == {rope.stiffness_high_n}
    assert set(here.of("seating_m")[~hung]) == {0.0}


def test_pulls_on_anchors_are_the_size_told_and_face_as_told(here):
    """Bearing from the way across: downstream lies to its left where the near bank is river left."""
    frame, rig = here.plan.frame, here.rig
    turn = -1.0 if here.plan.site.access.near_bank.value == "left" else 1.0
    pulls = [pull for stage in rig.stages for case in stage.cases for pull in case.anchor_pulls]
    vectors = np.array([[pull.along_n, pull.downstream_n, pull.up_n] for pull in pulls])
    # of places alike to a hundredth of a newton the first tells the direction
    np.testing.assert_allclose(
        np.linalg.norm(vectors, axis=1), [pull.load_n for pull in pulls], rtol=0, atol=0.02
    )
    judged = [pull for case in rig.planning.cases if case.judged for pull in case.anchor_pulls]
    for anchor in rig.anchors:
        if not anchor.load_n:
            continue
        (worst, *_) = [pull for pull in judged if pull.load_n == anchor.load_n]
        bearing = frame.x_azimuth_deg + turn * np.degrees(np.arctan2(worst.downstream_n, worst.along_n))
        off = (anchor.pull_bearing_deg - bearing + 180.0) % 360.0 - 180.0
        assert off == pytest.approx(0.0, abs=1e-6)
        level = np.hypot(worst.along_n, worst.downstream_n)
        assert np.tan(np.radians(anchor.pull_up_deg)) == pytest.approx(worst.up_n / level, abs=1e-9)
