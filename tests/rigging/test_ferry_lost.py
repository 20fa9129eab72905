from dataclasses import replace
from math import cos, radians, sin
from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from atlas.faults import OutOfRange
from atlas.rigging import Rope, TrackLine
from atlas.rigging.ferry import StationPoint, StationPoints
from atlas.rigging.ferry_lost import Runaway
from atlas.rigging.ferry_lost import ferry_lost as ferries_lost
from atlas.rigging.hung_boat import FerryHeld, HungBoat, RingPlace
from atlas.rigging.hung_carriage import HungCarriage

SPAN, STRAND, EA = 42.0, 15.0, 1.0e5
NEAR, UP_DOWN = StationPoint(-1.0, -8.0, 2.5), StationPoint(-1.0, 8.0, 2.5)


def line(*, rise=0.5, seating=0.15):
    rope = Rope(strength_n=40e3, weight_n_m=1.02, stiffness_n=EA)
    return TrackLine(span_m=SPAN, rise_m=rise, rope=rope, pretension_n=2000.0, seating_m=seating)


def hung(
    *,
    at=21.0,
    drag=2000.0,
    skew=0.0,
    slack=60.0,
    strands=2,
    up_down=UP_DOWN,
    track=None,
    near_height=3.0,
    ferry=NEAR,
):
    """The carriage as it might hang when the far ferry line goes: drag and a third of it down on the line."""
    track = track or line()
    there = track.loaded(at_m=at, downstream_n=max(drag, 150.0), down_n=120.0 + drag / 6.0)
    height = near_height + there.height_m - 0.3
    boat = HungBoat(
        drag_n=drag, skew_deg=skew, weight_n=120.0, bow_ring_m=0.3, up_down=up_down, bow_strands=strands,
        stiffness_n=5e4,
    )  # fmt: skip
    return HungCarriage(
        track=track,
        near_tie_height_m=near_height,
        ring_below_line_m=0.3,
        boat=boat,
        ferry=FerryHeld(ferry, 5e4, slack_m=slack),
        ring=RingPlace(np.array(at), there.downstream_m, height),
        strand_m=STRAND,
    )


def ferry_lost(carriage):
    """Of one site, as plain numbers."""
    run = ferries_lost(carriage)
    path = {name: getattr(run.path, name)[0] for name in ("ferry_n", "away_m")}
    path["ring"] = RingPlace(*(getattr(run.path.ring, axis)[0] for axis in ("x_m", "y_m", "z_m")))
    plain = {name: getattr(run, name).item() for name in Runaway.__slots__ if name != "path"}
    return SimpleNamespace(**plain, path=SimpleNamespace(**path))


def spot(station):
    return np.array([station.x_m, station.y_m, station.z_m])


def potential(carriage, at):
    """Of the carriage held at a place: rope stretched and lifted, weight, boat in the current, ferry line.

    Written out from the shape of the rope, numerically; nothing of the forces along the line is in it.
    """
    hold = carriage.held(np.array([at]))
    state = hold.track
    boat = carriage.boat
    weight = 1.02
    whole = float(carriage.track.unstretched_m)
    energy = 0.0
    near = float(state.near_length_m[0])
    for length, pull, tie in (
        (near, state.near_pull, 0.0),
        (whole - near, state.far_pull, float(carriage.track.rise_m)),
    ):
        share = np.linspace(0.0, length, 4001)
        level = np.hypot(float(pull.along_n[0]), float(pull.downstream_n[0]))
        lift = float(pull.up_n[0]) + weight * share
        tension = np.hypot(level, lift)
        energy += np.trapezoid(tension**2, share) / (2.0 * EA)
        slope = lift / tension * (1.0 + tension / EA)
        height = tie + np.concatenate([[0.0], np.cumsum(np.diff(share) * 0.5 * (slope[1:] + slope[:-1]))])
        energy += weight * np.trapezoid(height, share)
    ring = np.array([at, float(hold.ring.y_m[0]), float(hold.ring.z_m[0])])
    energy += 120.0 * ring[2]
    # the up-down line is as long as it was: what it gives between station and ring, the strands take
    was = np.array([float(carriage.ring.x_m), float(carriage.ring.y_m), float(carriage.ring.z_m)])
    n = boat.bow_strands
    rope = np.linalg.norm(was - spot(boat.up_down)) + n * np.hypot(STRAND, max(was[2] - 0.3, 0.0))
    slant = (rope - np.linalg.norm(ring - spot(boat.up_down))) / n
    away = np.sqrt(slant**2 - max(ring[2] - 0.3, 0.0) ** 2)
    skew = radians(boat.skew_deg)
    bow = ring[:2] + away * np.array([sin(skew), cos(skew)])
    energy -= boat.drag_n * (bow @ np.array([sin(skew), cos(skew)]))
    out = np.linalg.norm(was - spot(carriage.ferry.station)) + carriage.ferry.slack_m
    stretch = max(np.linalg.norm(ring - spot(carriage.ferry.station)) - out, 0.0)
    return energy + 0.5 * carriage.ferry.stiffness_n / out * stretch**2


SITES = {
    "at": st.floats(8, 36),
    "drag": st.floats(400, 3000),
    "skew": st.floats(-20, 35),
    "slack": st.sampled_from([0.0, 1.0, 60.0]),
    "strands": st.integers(1, 3),
}


@given(**SITES)
@settings(deadline=None, max_examples=25)
def test_held_at_a_place_everything_else_is_in_equilibrium(**site):
    """Ring, ropes and boat as one body: ties, stations, weights and current cancel; at rest, along too."""
    carriage = hung(**site)
    run = ferry_lost(carriage)
    hold = carriage.held(np.array([run.rest_m]))
    ring = np.array([run.rest_m, hold.ring.y_m[0], hold.ring.z_m[0]])
    boat, state = carriage.boat, hold.track
    to_up_down = (spot(boat.up_down) - ring) / np.linalg.norm(spot(boat.up_down) - ring)
    to_ferry = (spot(NEAR) - ring) / np.linalg.norm(spot(NEAR) - ring)
    pull = hold.up_down_n[0] * to_up_down + hold.ferry_n[0] * to_ferry
    skew = radians(boat.skew_deg)
    drag = boat.drag_n * np.array([sin(skew), cos(skew)])
    load = boat.drag_n + 120.0
    downstream = drag[1] + pull[1] - state.near_pull.downstream_n[0] - state.far_pull.downstream_n[0]
    assert abs(downstream) <= 1e-9 * load
    # up: the bow ring takes the strands' pull up, by their slope
    strand_up = boat.drag_n * max(ring[2] - 0.3, 0.0) / hold.away_m[0]
    rope = 1.02 * float(carriage.track.unstretched_m)
    up = pull[2] - strand_up - 120.0 - rope - state.near_pull.up_n[0] - state.far_pull.up_n[0]
    assert abs(up) <= 1e-9 * (load + rope)
    along = drag[0] + pull[0] - state.near_pull.along_n[0] - state.far_pull.along_n[0]
    assert abs(along - hold.force_n[0]) <= 1e-7 * load
    if not run.at_end:
        # the place of rest is found to 1e-9 m; the ferry line gives at most a few kN for a metre
        assert abs(hold.force_n[0]) <= 1e-8 * load


@given(**SITES)
@settings(deadline=None, max_examples=8)
def test_the_rest_is_a_least_of_the_potential(**site):
    """Pushed either way, near or far, the potential rises; the nearer the less."""
    carriage = hung(**site)
    run = ferry_lost(carriage)
    assume(not run.at_end)
    assume(2.0 < run.rest_m < SPAN - 2.0)
    least = potential(carriage, run.rest_m)
    for side in (-1.0, 1.0):
        rises = [potential(carriage, run.rest_m + side * step) - least for step in (0.1, 0.4, 1.0)]
        assert 0.0 < rises[0] < rises[1] < rises[2]


@pytest.mark.parametrize(
    "site", [{}, {"skew": 15.0, "at": 33.0}, {"skew": 38.0, "slack": 1.0}, {"drag": 700.0}]
)
def test_the_force_along_the_line_is_what_the_potential_loses(site):
    carriage = hung(**site)
    for at in (9.0, 17.0, 25.0):
        fall = (potential(carriage, at - 0.01) - potential(carriage, at + 0.01)) / 0.02
        assert float(carriage.held(np.array([at])).force_n[0]) == pytest.approx(fall, rel=2e-4, abs=0.2)


@pytest.mark.parametrize(
    "site",
    [
        {"drag": 1000.0, "at": 30.0, "skew": 25.0},
        {"drag": 1000.0, "at": 20.0, "skew": 20.0},
        {"drag": 0.0, "at": 12.0},
    ],
)
def test_it_turns_where_the_potential_is_that_of_the_start(site):
    """And stays under it on the way; to 2 in a thousand of what it loses until it is at rest."""
    carriage = hung(**site)
    run = ferry_lost(carriage)
    ends = [run.swept_from_m, run.swept_to_m]
    assert site["at"] in ends
    assert 0.03 * SPAN < ends[0] < run.rest_m < ends[1] < 0.97 * SPAN
    start, other = (potential(carriage, at) for at in sorted(ends, key=lambda end: end != site["at"]))
    deep = potential(carriage, run.rest_m)
    assert abs(start - other) <= 2e-3 * (start - deep)
    between = np.linspace(*ends, 9)[1:-1]
    assert max(potential(carriage, at) for at in between) < start


def test_the_boat_draws_the_carriage_to_the_near_bank():
    """Without the far ferry line the working strand has its way; with twice the drag it gets nearer."""
    one, other = (ferry_lost(hung(drag=drag)) for drag in (1000.0, 2000.0))
    assert one.rest_m < 10.0
    assert one.swept_to_m == pytest.approx(21.0)
    assert one.path.ring.x_m[[0, -1]] == pytest.approx([one.swept_from_m, one.swept_to_m])
    # nearer to the up-down station the line lets the boat down: by half of what the ring has come nearer
    at = np.array([21.0, one.rest_m])
    ring = hung(drag=1000.0).held(at).ring
    way = np.sqrt((ring.x_m + 1.0) ** 2 + (ring.y_m - 8.0) ** 2 + (ring.z_m - 2.5) ** 2)
    slant = np.hypot(hung(drag=1000.0).held(at).away_m, ring.z_m - 0.3)
    assert slant[1] - slant[0] == pytest.approx((way[0] - way[1]) / 2.0)
    assert one.boat_x_m == pytest.approx(one.rest_m)
    assert other.at_end is False


def test_an_empty_carriage_rests_where_the_line_asks_nothing():
    """No boat, no ferry line: where the track line of itself holds a carriage of 120 N."""
    track = line(rise=1.5)
    run = ferry_lost(hung(drag=0.0, at=30.0, track=track))

    def along(at):
        return float(track.loaded(at_m=at, downstream_n=0.0, down_n=120.0).along_n)

    assert run.rest_m == pytest.approx(brentq(along, 2.0, 40.0), abs=1e-6)


def test_a_near_ferry_line_made_fast_stops_it():
    """The river drives the carriage to the far bank; half a metre of slack and it hangs on the near line."""
    free, fast = (ferry_lost(hung(skew=40.0, slack=slack, strands=3)) for slack in (60.0, 0.5))
    assert free.path.ferry_n.max() == 0.0
    assert fast.rest_m < free.rest_m
    held = hung(skew=40.0, slack=0.5, strands=3).held(np.array([fast.rest_m]))
    assert held.ferry_n[0] > 100.0
    assert 21.0 <= fast.swept_from_m < fast.swept_to_m < 24.0


def test_a_river_toward_the_near_bank_runs_it_to_the_end():
    run = ferry_lost(hung(skew=-40.0))
    assert run.at_end
    assert run.rest_m == run.swept_from_m == pytest.approx(0.02 * SPAN)


def test_started_at_rest_it_stays():
    first = ferry_lost(hung(drag=0.0, at=12.0))
    again = ferry_lost(hung(drag=0.0, at=first.rest_m))
    assert again.rest_m == pytest.approx(first.rest_m, abs=1e-4)
    assert again.swept_to_m - again.swept_from_m < 1e-3


def test_mirrored_site_mirrors_the_run():
    """Near and far exchanged, the up-down line worked from the other bank, the ferry line left with it."""
    there = ferry_lost(hung(skew=12.0, at=26.0))
    back = ferry_lost(
        hung(
            skew=-12.0,
            at=SPAN - 26.0,
            track=line(rise=-0.5),
            near_height=3.5,
            up_down=StationPoint(SPAN + 1.0, 8.0, 2.5),
            ferry=StationPoint(SPAN + 1.0, -8.0, 2.5),
        )
    )
    assert SPAN - back.rest_m == pytest.approx(there.rest_m, abs=1e-5)
    assert SPAN - back.swept_to_m == pytest.approx(there.swept_from_m, abs=1e-3)
    assert SPAN - back.boat_x_m == pytest.approx(there.boat_x_m, abs=1e-5)


def test_a_boat_cannot_be_drawn_through_its_ring():
    """Far from the up-down station, the line held, the boat would have to come up under the carriage."""
    carriage = hung(at=8.0, skew=38.0, strands=1)
    hold = carriage.held(np.linspace(8.0, 40.0, 33))
    assert not hold.barred[0]
    assert hold.barred[-1]
    assert ferry_lost(carriage).swept_to_m < 40.0


def test_refusals():
    with pytest.raises(OutOfRange) as caught:
        hung().held(np.array([0.5]))
    assert str(caught.value) == (
        "at_m: outside the range in which the answer was shown; got 0.5 m; allowed 0.84 to 41.16 m "
        "(2 to 98 % of the span)"
    )
    with pytest.raises(OutOfRange) as caught:
        replace(hung(), strand_m=0.0)
    assert str(caught.value) == (
        "strand_m: outside the range in which the answer was shown; got 0 m; allowed 1 to 200 m"
    )
    with pytest.raises(OutOfRange) as caught:
        hung(skew=70.0)
    assert str(caught.value) == (
        "skew_deg: outside the range in which the answer was shown; got 70 degrees; allowed -60 to 60 degrees"
    )


def stacked(values):
    return np.array([[float(value)] for value in values])


def test_carriages_of_many_sites_are_those_of_each():
    """Three sites unlike in boat, skew and ferry line, one of them with its carriage running to the end."""
    sites = [hung(), hung(drag=900.0, at=30.0, skew=14.0, slack=0.0), hung(skew=-40.0, strands=2)]
    lines = [site.track for site in sites]
    rope = Rope(strength_n=40e3, weight_n_m=stacked([1.02] * 3), stiffness_n=stacked([EA] * 3))
    many = HungCarriage(
        track=TrackLine(
            span_m=stacked([line.span_m for line in lines]),
            rise_m=stacked([line.rise_m for line in lines]),
            rope=rope,
            pretension_n=stacked([line.pretension_n for line in lines]),
            seating_m=stacked([line.seating_m for line in lines]),
        ),
        near_tie_height_m=stacked([site.near_tie_height_m for site in sites]),
        ring_below_line_m=stacked([site.ring_below_line_m for site in sites]),
        boat=HungBoat(
            drag_n=stacked([site.boat.drag_n for site in sites]),
            skew_deg=stacked([site.boat.skew_deg for site in sites]),
            weight_n=stacked([site.boat.weight_n for site in sites]),
            bow_ring_m=stacked([site.boat.bow_ring_m for site in sites]),
            up_down=StationPoints.of([UP_DOWN] * 3),
            bow_strands=2,
            stiffness_n=stacked([5e4] * 3),
        ),
        ferry=FerryHeld(
            StationPoints.of([NEAR] * 3),
            stacked([5e4] * 3),
            slack_m=stacked([site.ferry.slack_m for site in sites]),
        ),
        ring=RingPlace(
            *(stacked([getattr(site.ring, axis) for site in sites]) for axis in ("x_m", "y_m", "z_m"))
        ),
        strand_m=stacked([STRAND] * 3),
    )
    together = ferries_lost(many)
    for row, site in enumerate(sites):
        alone = ferry_lost(site)
        assert together.rest_m[row] == pytest.approx(alone.rest_m, abs=1e-6)
        assert together.at_end[row] == alone.at_end
        assert together.swept_from_m[row] == pytest.approx(alone.swept_from_m, abs=1e-4)
        assert together.swept_to_m[row] == pytest.approx(alone.swept_to_m, abs=1e-4)
        assert together.boat_y_m[row] == pytest.approx(alone.boat_y_m, abs=1e-5)


@pytest.mark.parametrize("site", [{}, {"drag": 1000.0, "at": 30.0, "skew": 25.0}])
def test_fewer_places_and_a_coarser_rest_are_near(site):
    """A fifth of the places and a hundredth of a newton: rest to a centimetre, ground to a decimetre."""
    fine, coarse = ferries_lost(hung(**site)), ferries_lost(hung(**site), places=13, still=1e-5)
    assert coarse.rest_m == pytest.approx(fine.rest_m, abs=0.01)
    assert coarse.swept_from_m == pytest.approx(fine.swept_from_m, abs=0.1)
    assert coarse.swept_to_m == pytest.approx(fine.swept_to_m, abs=0.1)
    assert coarse.path.ring.x_m.shape == (1, 14)  # the place of rest among them
