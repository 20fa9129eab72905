"""Printed values are the worst over the carriage's travel: held against 201 places on each demo site.

The states are those of `carriages_at`, whose equilibrium is proven elsewhere; which are asked of, where, and
what is the greatest of them is told here by itself.
"""

from math import cos, radians

import numpy as np
import pytest

from atlas.rigging.asked import Asked
from atlas.rigging.carriages import carriages_at
from atlas.rigging.carried import CarriedRow
from atlas.rigging.ferry import StationPoint
from atlas.rigging.fixtures import anchor_pulls, up_down_n
from atlas.rigging.setups import CarriageSetup, Of, table_of

PLACES = 201
DRAG_MOST_N = 9e3
# The printed value is of a place refined between nine of a grid, up to folds: 1e-3 of a force, a tenth of
# what print rounds it by; 1 cm of clearance, a third of the tenth of a foot that print rounds down to.
FORCE, CLEARANCE_M, BOW_M = 1e-3, 0.010, 1e-4
ANCHORS = {
    "near_tie": "near_tie",
    "far_tie": "far_tie",
    "ferry_near_station": "ferry_near",
    "ferry_far_station": "ferry_far",
    "up_down_station": "up_down",
}


def rig_of(plan):
    (rig,) = [rig for rig in plan.rigs if rig.rig == "movable-control-point"]
    return rig


def setup_of(plan):
    """The site as the carriage meets it, with the trade rules' figures."""
    rig, frame = rig_of(plan), plan.frame

    def station(use, bank):
        found = [
            one for one in rig.anchors if use in one.uses and one.bank == bank and one.load_n is not None
        ]
        one = min(found, key=lambda anchor: "track" in anchor.uses)
        return StationPoint(*one.at, one.height_m)

    return CarriageSetup(
        span_m=frame.span_m,
        rise_m=frame.rise_m,
        near_tie_height_m=frame.near_tie_height_m,
        reach_m=frame.reach_down_m / cos(radians(frame.skew_deg)),
        weight_n_m=rig.rope.weight_n_m,
        carriage_weight_n=120.0,
        ring_below_line_m=0.30,
        bow_ring_m=0.30,
        strand_least_m=3.0,
        ferry_near=station("ferry", "near"),
        ferry_far=station("ferry", "far"),
        up_down=station("up_down", "near"),
        skew_deg=frame.skew_deg,
        bow_strands=2,
        pulley_efficiency=0.80,
        ferry_weight_n_m=0.8,
    )


class Swept:
    """Every case of every row from the planning stage up, at places all over the planning stage's travel.

    Water higher than that is wider, and the carriage's travel over it no shorter.
    """

    def __init__(self, plans):
        self.rows = [
            (index, rig_of(plan), stage, case)
            for index, plan in enumerate(plans)
            for stage in rig_of(plan).stages
            for case in stage.cases
            if stage.rise_m >= rig_of(plan).planning.rise_m
        ]
        self.cases = [case for _, _, _, case in self.rows]
        self.planning = np.array([stage.planning for _, _, stage, _ in self.rows])
        self.table = table_of([setup_of(plan) for plan in plans])

    def _each(self, value):
        return np.array([value(*row) for row in self.rows])[:, np.newaxis]

    def states(self, *, seated, both_hauls=False):
        """Tension: most set, stiff, not seated. Clearance and bow: seated, both bounds, least set or both."""
        bounds = ("stiffness_low_n", "stiffness_high_n") if seated else ("stiffness_high_n",)
        hauls = ("least_n", "most_n") if both_hauls else (("least_n",) if seated else ("most_n",))
        asks = [(whole, bound, haul) for whole in (True, False) for bound in bounds for haul in hauls]
        asked = Asked.of(
            site=self._each(lambda index, *_: index),
            whole=[whole for whole, _, _ in asks],
            drag_n=self._each(lambda *row: min(row[3].drag_n, DRAG_MOST_N)),
            water_rise_m=self._each(lambda *row: row[2].rise_m),
            clearance_m=self._each(lambda *row: row[3].clearance_needed_m),
            set_n=np.hstack([self._each(lambda *row, at=at: getattr(row[1].haul, at[2])) for at in asks]),
            stiffness_n=np.hstack(
                [self._each(lambda *row, at=at: getattr(row[1].rope, at[1])) for at in asks]
            ),
            seating_m=self._each(lambda *row: row[1].seating_m if seated else 0.0),
            hauled=True,
        )
        ends = np.hstack(
            [self._each(lambda *row: row[1].travel_from_m), self._each(lambda *row: row[1].travel_to_m)]
        )
        ends = np.repeat(ends, len(asks), axis=0)
        share = np.linspace(0.0, 1.0, PLACES)
        return carriages_at(self.table, asked, ends[:, :1] + (ends[:, 1:] - ends[:, :1]) * share)

    def of(self, values):
        """Over all that was asked of a case and all its places; the case is the first axis."""
        return values.reshape(len(self.rows), -1)


@pytest.fixture(scope="module")
def swept(demo):
    return Swept(list(demo.plans.values()))


@pytest.fixture(scope="module")
def pulled(swept):
    return swept.states(seated=False)


def no_worse(swept, told, found):
    """Nowhere worse than told; at the planning stage, whose travel this is, as bad somewhere."""
    told, most = np.array(told), found
    room = FORCE * np.maximum(most, 50.0)
    assert np.all(most <= told + room)
    planning = swept.planning
    assert np.all(told[planning] <= most[planning] + room[planning])


def test_tension(swept, pulled):
    no_worse(swept, [case.tension_n for case in swept.cases], swept.of(pulled.tension_n).max(axis=1))


@pytest.mark.parametrize("line", ["ferry_near_n", "ferry_far_n"])
def test_ferry_lines(swept, pulled, line):
    no_worse(
        swept, [getattr(case, line) for case in swept.cases], swept.of(getattr(pulled, line)).max(axis=1)
    )


def test_up_down_line(swept, pulled):
    no_worse(swept, [case.up_down_haul_n for case in swept.cases], swept.of(up_down_n(pulled)).max(axis=1))


def test_the_factor_is_that_of_the_weakest_part(swept, pulled):
    """Rope wet and with its end, connectors 40 kN, releasable link 30 kN, each over the greatest tension; the
    carriage pulley's 36 kN over what both sides of the rope together pull on it."""
    tension = swept.of(pulled.tension_n).max(axis=1)
    resultant = swept.of(pulled.resultant_n).max(axis=1)
    ropes = np.array([rig.rope.strength_n * rig.rope.kept for _, rig, _, _ in swept.rows])
    tied_off = np.array([rig.capture_limit_n is None for _, rig, _, _ in swept.rows])
    link = np.where(tied_off, np.inf, 30e3)
    least = np.minimum(np.minimum(np.minimum(ropes, 40e3), link) / tension, 36e3 / resultant)
    told = np.array([case.factor for case in swept.cases])
    assert np.all(told <= least * (1.0 + FORCE))
    np.testing.assert_allclose(told[swept.planning], least[swept.planning], rtol=FORCE)


def test_anchors(swept, pulled):
    """Size at its greatest, and that way: within a degree of where some place as bad pulls."""
    found = anchor_pulls(pulled)
    for name, attribute in ANCHORS.items():
        pulls = getattr(found, attribute)
        pulls = pulls.reshape(3, len(swept.rows), -1)
        sizes = np.linalg.norm(pulls, axis=0)
        told = [next(pull for pull in case.anchor_pulls if pull.stands == name) for case in swept.cases]
        no_worse(swept, [pull.load_n for pull in told], sizes.max(axis=1))
        for row in np.flatnonzero(swept.planning):
            as_bad = sizes[row] >= (1.0 - 5.0 * FORCE) * told[row].load_n
            if told[row].load_n > 1.0:
                way = np.array([told[row].along_n, told[row].downstream_n, told[row].up_n]) / told[row].load_n
                cosines = way @ (pulls[:, row, as_bad] / sizes[row, as_bad])
                assert cosines.max() > np.cos(np.radians(1.0))


def lowest_ferry_lines(swept, hung, bodies):
    """Lowest over water of each ferry line that cannot be kept where it is to be, else infinite.

    An end stands less than 0.1 m over that height, or it asks for more than 1 kN to be straight enough.
    """
    asked, rows = hung.asked, hung.rows
    of = swept.table[:, asked.site, np.newaxis] + np.zeros((1, 1, hung.at_m.shape[1]))
    needed = asked.clearance_m[:, np.newaxis] + np.zeros_like(hung.at_m)
    water = asked.water_rise_m[:, np.newaxis]
    ring = bodies.vector(hung.at_m, hung.bow_m, hung.clearance_m)
    each = asked.count // len(swept.rows)
    found = np.full((2, *hung.at_m.shape), np.inf)
    for line, sign, name in ((0, 1.0, "near_setback_m"), (1, -1.0, "far_setback_m")):
        setback = np.repeat([getattr(stage, name) for _, _, stage, _ in swept.rows], each)[:, np.newaxis]
        edge = setback + 0.0 * ring[0] if line == 0 else of[Of.SPAN] - setback
        station = bodies.vector(
            of[Of.STATION_X + line], of[Of.STATION_Y + line], of[Of.STATION_Z + line] - water
        )
        rooms = np.stack([ring[2] - needed, station[2] - needed])
        asks = 0.8 * bodies.size(station - ring) ** 2 / 2.0 / np.sqrt(np.maximum(rooms, 0.1)).sum(axis=0) ** 2
        which = asked.whole[:, np.newaxis] & ((rooms.min(axis=0) < 0.1) | (asks > 1000.0))
        slant = (of[Of.FLOW_ALONG] / of[Of.FLOW_DOWN])[which][:, np.newaxis]
        low = bodies.lowest_over_water(
            (station[:, which], ring[:, which]),
            tension=rows[CarriedRow.HELD_NEAR + line][which],
            weight=0.8,
            past_edge=lambda x, y, e=edge[which][:, np.newaxis], k=slant, sign=sign: sign * (x - e - k * y),
            points=60,
        )
        found[line][which] = np.where(low < needed[which], low, np.inf)
    return found.min(axis=0)


def test_clearance_and_bow(swept, free_bodies):
    """Seated, at both bounds of the stiffness, and over all that the haul may have set."""
    hung = swept.states(seated=True, both_hauls=True)
    bow, told = swept.of(hung.bow_m).max(axis=1), np.array([case.bow_m for case in swept.cases])
    assert np.all(told >= bow - BOW_M)
    assert np.all(told[swept.planning] <= bow[swept.planning] + BOW_M)
    ferries = lowest_ferry_lines(swept, hung, free_bodies)
    hardware, ferry = swept.of(hung.clearance_m).min(axis=1), swept.of(ferries).min(axis=1)
    least = np.minimum(hardware, ferry)
    told = np.array([case.clearance_m for case in swept.cases])
    assert np.all(told <= least + CLEARANCE_M)
    assert np.all(told[swept.planning] >= least[swept.planning] - CLEARANCE_M)
    by_ferry = np.array([case.clearance_part in ("ferry-near", "ferry-far") for case in swept.cases])
    assert np.count_nonzero(by_ferry) > 20
    # told of a ferry line only where one hangs lower
    assert np.all(ferry[by_ferry & swept.planning] < hardware[by_ferry & swept.planning] + CLEARANCE_M)
    assert np.all(by_ferry[ferry < hardware - 2 * CLEARANCE_M])
