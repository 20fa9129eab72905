from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp
from scipy.optimize import minimize

from atlas.faults import OutOfRange
from atlas.rigging.ferry import StationPoint, StationPoints
from atlas.rigging.hung_boat import FerryHeld, HungBoat, RingPlace
from atlas.rigging.track_lost import track_lost

NEAR, FAR, UP_DOWN = (
    StationPoint(-1.0, -8.0, 2.5),
    StationPoint(43.0, -7.0, 3.0),
    StationPoint(-1.0, 8.0, 2.0),
)
STRAND = 12.0


def boat(**changes):
    values = {
        "drag_n": 2000.0,
        "skew_deg": 10.0,
        "weight_n": 120.0,
        "bow_ring_m": 0.3,
        "up_down": UP_DOWN,
        "bow_strands": 2,
        "stiffness_n": 5.0e4,
    }
    return HungBoat(**(values | changes))


def rings(count=5):
    x = np.linspace(6.0, 36.0, count)
    return RingPlace(x, 5.0 * 4.0 * x * (42.0 - x) / 42.0**2, np.full(count, 2.2))


def lost(hung, *, slack=0.0, stiffness=5.0e4, ring=None, near=NEAR, far=FAR, strand=STRAND):
    return track_lost(
        hung,
        ferry_near=FerryHeld(near, stiffness, slack_m=slack),
        ferry_far=FerryHeld(far, stiffness, slack_m=slack),
        ring=ring or rings(),
        strand_m=strand,
    )


def toward(here, there):
    way = there - here
    return way / np.linalg.norm(way, axis=-1, keepdims=True)


def points(found, hung):
    """Ring and bow ring, shape (n, 3)."""
    ring = np.stack([found.ring.x_m, found.ring.y_m, found.ring.z_m], axis=-1)
    bow = np.stack([found.boat_x_m, found.boat_y_m, np.full(found.boat_x_m.shape, hung.bow_ring_m)], axis=-1)
    return ring, bow


def spot(station):
    return np.array([station.x_m, station.y_m, station.z_m])


@given(
    drag=st.floats(300, 6000),
    skew=st.floats(-40, 40),
    strands=st.integers(1, 3),
    slack=st.floats(0, 6),
    stiffness=st.sampled_from([2e4, 5e4, 4e5]),
    strand=st.floats(3, 30),
)
@settings(deadline=None, max_examples=60)
def test_ring_and_boat_are_in_equilibrium(drag, skew, strands, slack, stiffness, strand):
    """Every force taken again from the places and tensions; what is left over is under 1e-9 of the load."""
    hung = boat(drag_n=drag, skew_deg=skew, bow_strands=strands, stiffness_n=stiffness)
    found = lost(hung, slack=slack, stiffness=stiffness, strand=strand)
    ring, bow = points(found, hung)
    # on one strand the hardest of these loads draws the ring to the up-down station: no lines left to look at
    apart = np.linalg.norm(ring - spot(UP_DOWN), axis=1)
    assume((apart > 0.5).all() and (np.linalg.norm(bow - ring, axis=1) > 0.5).all())
    strand_n = strands * found.up_down_n[:, None] * toward(ring, bow)
    on_boat = drag * np.array([np.sin(np.radians(skew)), np.cos(np.radians(skew))]) - strand_n[:, :2]
    on_ring = strand_n + np.array([0.0, 0.0, -120.0])
    for station, tension in ((NEAR, found.near_n), (FAR, found.far_n), (UP_DOWN, found.up_down_n)):
        on_ring = on_ring + tension[:, None] * toward(ring, spot(station))
    load = drag + 120.0
    assert np.abs(on_boat).max() <= 1e-9 * load
    assert np.abs(on_ring[:, :2]).max() <= 1e-9 * load
    # the boat and the water carry a ring that lies as low as the bow ring, and only such a one
    floating = found.ring.z_m <= 0.3 + 1e-12
    assert np.abs(on_ring[~floating, 2]).max(initial=0.0) <= 1e-9 * load
    assert (on_ring[floating, 2] <= 1e-9 * load).all()


@pytest.mark.parametrize("slack", [0.0, 2.0])
def test_tensions_are_those_of_the_stretch(slack):
    """Each line as long as it was held, rope out known, and pulling by its stretch alone."""
    hung = boat()
    found = lost(hung, slack=slack)
    ring, bow = points(found, hung)
    before = rings()
    was = np.stack([before.x_m, before.y_m, before.z_m], axis=-1)
    for station, tension in ((NEAR, found.near_n), (FAR, found.far_n)):
        out = np.linalg.norm(was - spot(station), axis=1) + slack
        now = np.linalg.norm(ring - spot(station), axis=1)
        np.testing.assert_allclose(tension, 5e4 * np.maximum(now / out - 1.0, 0.0), rtol=1e-7, atol=1e-6)
    slant = np.hypot(STRAND, 2.2 - 0.3)
    way = np.linalg.norm(was - spot(UP_DOWN), axis=1) + 2.0 * slant
    held = 2000.0 * slant / STRAND / 2.0
    out = way / (1.0 + held / 5e4)
    now = np.linalg.norm(ring - spot(UP_DOWN), axis=1) + 2.0 * np.linalg.norm(bow - ring, axis=1)
    np.testing.assert_allclose(found.up_down_n, 5e4 * (now / out - 1.0), rtol=1e-7)


def potential(place, hung, slack, before):
    """Of one state, written out plainly: stretched lines, weight, boat in the current."""
    ring, bow = place[:3], np.array([*place[3:], hung.bow_ring_m])
    was = np.array([before.x_m[0], before.y_m[0], before.z_m[0]])
    energy = hung.weight_n * (ring[2] - was[2])
    energy -= hung.drag_n * (np.array(hung.flow) @ (bow[:2] - was[:2]))
    for station in (NEAR, FAR):
        out = np.linalg.norm(was - spot(station)) + slack
        energy += 0.5 * 5e4 / out * max(np.linalg.norm(ring - spot(station)) - out, 0.0) ** 2
    slant = np.hypot(STRAND, was[2] - hung.bow_ring_m)
    held = hung.drag_n * slant / STRAND / 2.0
    out = (np.linalg.norm(was - spot(UP_DOWN)) + 2.0 * slant) / (1.0 + held / 5e4)
    now = np.linalg.norm(ring - spot(UP_DOWN)) + 2.0 * np.linalg.norm(bow - ring)
    return energy + 0.5 * 5e4 / out * max(now - out, 0.0) ** 2


@pytest.mark.parametrize("skew", [-25.0, 0.0, 35.0])
@pytest.mark.parametrize("slack", [0.0, 3.0])
def test_the_rest_is_the_least_of_the_potential(skew, slack):
    """From all sides it rises, and a search without slopes (Powell's) finds no lower place."""
    before = rings(1)
    hung = boat(skew_deg=skew)
    found = lost(hung, slack=slack, ring=before)
    ring, bow = points(found, hung)
    rest = np.array([*ring[0], *bow[0, :2]])
    least = potential(rest, hung, slack, before)
    steps = np.random.default_rng(4).normal(size=(200, 5))
    for step in steps / np.linalg.norm(steps, axis=1, keepdims=True):
        for size in (0.02, 0.5, 3.0):
            for side in (-size, size):
                there = rest + side * step
                there[2] = max(there[2], hung.bow_ring_m)
                assert potential(there, hung, slack, before) >= least - 1e-9
    searched = minimize(
        potential,
        rest + np.array([1.0, -1.0, 0.5, 2.0, -2.0]),
        args=(hung, slack, before),
        method="Powell",
        bounds=[(None, None), (None, None), (hung.bow_ring_m, None), (None, None), (None, None)],
        options={"xtol": 1e-7, "ftol": 1e-12, "maxiter": 4000},
    )
    assert least <= searched.fun + 1e-6


def test_what_pulls_on_the_anchors():
    """The anchors are pulled with the tension, toward the ring; all pulls together are drag and weight."""
    hung = boat(skew_deg=0.0)
    found = lost(hung)
    np.testing.assert_allclose(found.near_pull.tension_n, found.near_n, rtol=1e-12)
    assert (found.near_pull.along_n > 0.0).all()
    assert (found.far_pull.along_n < 0.0).all()
    work = found.up_down_n * (spot(UP_DOWN)[1] - found.ring.y_m)
    ring, _ = points(found, hung)
    work = work / np.linalg.norm(spot(UP_DOWN) - ring, axis=1)
    np.testing.assert_allclose(found.near_pull.downstream_n + found.far_pull.downstream_n - work, 2000.0)


def test_mirrored_site_mirrors_the_rest():
    """Banks exchanged, everything at 42 - x; the up-down station upriver in the middle plane's image."""
    there = lost(boat())

    def turned(station):
        return StationPoint(42.0 - station.x_m, station.y_m, station.z_m)

    before = rings()
    mirrored = RingPlace(42.0 - before.x_m, before.y_m, before.z_m)
    back = lost(
        boat(skew_deg=-10.0, up_down=turned(UP_DOWN)), ring=mirrored, near=turned(FAR), far=turned(NEAR)
    )
    np.testing.assert_allclose(back.far_n, there.near_n, rtol=1e-8, atol=1e-6)
    np.testing.assert_allclose(back.near_n, there.far_n, rtol=1e-8, atol=1e-6)
    np.testing.assert_allclose(42.0 - back.boat_x_m, there.boat_x_m, atol=1e-6)
    np.testing.assert_allclose(back.drift_m, there.drift_m, atol=1e-6)


@given(scale=st.floats(0.3, 3.0))
@settings(deadline=None, max_examples=15)
def test_scaled_forces_scale_the_tensions(scale):
    """Drag, weight and stiffness all times k: the same places, tensions times k."""
    one = lost(boat())
    other = lost(
        boat(drag_n=2000.0 * scale, weight_n=120.0 * scale, stiffness_n=5e4 * scale), stiffness=5e4 * scale
    )
    np.testing.assert_allclose(other.near_n, scale * one.near_n, rtol=1e-7, atol=1e-6)
    np.testing.assert_allclose(other.boat_y_m, one.boat_y_m, atol=1e-6)


def test_a_line_with_slack_hangs_idle():
    """The near line paid out: the ring lies down the flow of the far station, whose line holds alone."""
    hung = replace(boat(skew_deg=0.0), up_down=StationPoint(43.0, -7.0, 3.0))
    found = track_lost(
        hung,
        ferry_near=FerryHeld(NEAR, 5e4, slack_m=60.0),
        ferry_far=FerryHeld(FAR, 5e4),
        ring=rings(),
        strand_m=STRAND,
    )
    assert (found.near_n == 0.0).all()
    np.testing.assert_allclose(found.ring.x_m, 43.0, atol=1e-6)
    np.testing.assert_allclose(found.boat_x_m, 43.0, atol=1e-6)


def test_more_slack_less_load():
    loads = [lost(boat(), slack=slack).far_n.max() for slack in (0.0, 1.0, 3.0, 6.0)]
    assert loads == sorted(loads, reverse=True)


def test_a_ring_under_the_bow_ring_comes_up_to_it():
    """High water: the bow ring rides over where the ring was."""
    found = lost(boat(drag_n=0.0, bow_ring_m=2.8), slack=5.0)
    np.testing.assert_allclose(found.ring.z_m, 2.8)


def test_a_ring_drawn_to_its_station_still_comes_to_rest():
    """One strand, a short one, a soft line and 5.4 kN: the ring ends at the up-down station."""
    found = lost(boat(drag_n=5372.0, skew_deg=0.0, bow_strands=1, stiffness_n=2e4), stiffness=2e4, strand=3.0)
    assert np.hypot(found.ring.x_m[0] + 1.0, found.ring.y_m[0] - 8.0) < 0.5


def test_an_empty_carriage_ends_on_the_water():
    found = lost(boat(drag_n=0.0))
    assert np.abs(found.up_down_n).max() <= 1e-6
    assert (found.ring.z_m >= 0.3).all()
    assert found.far_n.max() < 120.0 * 12.0


def test_stepped_through_time_the_jerk_is_under_twice_the_rest():
    """Ring of 20 kg, boat of 600 kg, drag by the speed past the boat, from when the track line parts."""
    before = RingPlace(np.array([21.0]), np.array([4.0]), np.array([2.2]))
    hung = boat(skew_deg=0.0)
    found = lost(hung, ring=before)
    flow, speed = np.array(hung.flow), 2.0
    mass = np.array([20.0, 20.0, 20.0, 600.0, 600.0])
    was = np.array([21.0, 4.0, 2.2])
    ferries = [(spot(station), np.linalg.norm(was - spot(station))) for station in (NEAR, FAR)]
    slant = np.hypot(STRAND, 1.9)
    out = np.linalg.norm(was - spot(UP_DOWN)) + 2 * slant
    out /= 1.0 + 2000.0 * slant / STRAND / 2.0 / 5e4

    def pulls(place):
        ring, bow = place[:3], np.array([*place[3:], 0.3])
        ferry = [5e4 * max(np.linalg.norm(at - ring) / rope - 1.0, 0.0) for at, rope in ferries]
        way = np.linalg.norm(spot(UP_DOWN) - ring) + 2 * np.linalg.norm(bow - ring)
        return ring, bow, ferry, 5e4 * max(way / out - 1.0, 0.0)

    def moved(_, state):
        place, speeds = state[:5], state[5:]
        ring, bow, ferry, up_down = pulls(place)
        strand = 2 * up_down * toward(ring, bow)
        on_ring = strand + up_down * toward(ring, spot(UP_DOWN)) + np.array([0.0, 0.0, -120.0])
        for tension, (at, _) in zip(ferry, ferries, strict=True):
            on_ring = on_ring + tension * toward(ring, at)
        past = speed * flow - speeds[3:]
        on_boat = 2000.0 / speed**2 * np.hypot(*past) * past - strand[:2]
        return np.concatenate([speeds, np.concatenate([on_ring - 5.0 * speeds[:3], on_boat]) / mass])

    run = solve_ivp(moved, (0.0, 6.0), np.concatenate([was, [21.0, 16.0], np.zeros(5)]), max_step=0.02)
    peaks = np.max([pulls(place)[2] for place in run.y[:5].T], axis=0)
    assert found.far_n[0] < peaks[1] < 2.0 * found.far_n[0]
    assert found.near_n[0] < peaks[0] < 2.0 * found.near_n[0]


def test_refusals():
    with pytest.raises(OutOfRange) as caught:
        lost(boat(), strand=0.0)
    assert str(caught.value) == (
        "strand_m: outside the range in which the answer was shown; got 0 m; allowed 0.5 to 200 m"
    )
    with pytest.raises(OutOfRange) as caught:
        boat(bow_strands=0)
    assert str(caught.value) == "bow_strands: got 0; allowed 1 to 4"
    with pytest.raises(OutOfRange) as caught:
        boat(drag_n=np.nan)
    assert str(caught.value) == (
        "drag_n: outside the range in which the answer was shown; got nan N; allowed 0 to 15000 N"
    )
    with pytest.raises(OutOfRange) as caught:
        FerryHeld(NEAR, 5e4, slack_m=[0.0, -1.0])
    assert str(caught.value) == (
        "slack_m: outside the range in which the answer was shown; got -1 m; allowed 0 to 300 m"
    )


def test_lines_of_many_sites_are_those_of_each():
    """Two sites unlike in drag, skew, stiffness and stations, five places each, settled in one go."""
    one, other = boat(), boat(drag_n=900.0, skew_deg=-20.0, bow_ring_m=0.6)

    def column(*values):
        return np.array([[value] for value in values])

    many = HungBoat(
        drag_n=column(one.drag_n, other.drag_n),
        skew_deg=column(one.skew_deg, other.skew_deg),
        weight_n=column(one.weight_n, other.weight_n),
        bow_ring_m=column(one.bow_ring_m, other.bow_ring_m),
        up_down=StationPoints.of([UP_DOWN, UP_DOWN]),
        bow_strands=2,
        stiffness_n=column(5e4, 5e4),
    )
    here, moved = NEAR, StationPoint(-2.0, -6.0, 2.0)
    places = rings()
    found = track_lost(
        many,
        ferry_near=FerryHeld(StationPoints.of([here, moved]), column(5e4, 9e4)),
        ferry_far=FerryHeld(StationPoints.of([FAR, FAR]), column(5e4, 9e4)),
        ring=RingPlace(*(np.stack([axis, axis]) for axis in (places.x_m, places.y_m, places.z_m))),
        strand_m=STRAND,
    )
    for row, (hung, near, stiffness) in enumerate(((one, here, 5e4), (other, moved, 9e4))):
        alone = lost(hung, near=near, stiffness=stiffness)
        for name in ("near_n", "far_n", "up_down_n", "drift_m"):
            np.testing.assert_allclose(getattr(found, name)[row], getattr(alone, name), rtol=1e-7, atol=1e-5)
