"""The lowest part over the water, against lines drawn as polylines of 2000 points and forces of their own."""

from dataclasses import dataclass, replace

import numpy as np
import pytest

from atlas.rigging.asked import Asked
from atlas.rigging.carriages import carriages_at
from atlas.rigging.carried import CarriedRow
from atlas.rigging.clearance import Part, Stretch, heights_m, lowest_over_m, spare_m
from atlas.rigging.setups import Of, table_of
from atlas.rigging.worlds import clearance_margin

COUNT, PLACES = 300, 3
FERRY_N_M, RING_BELOW_M, ROOM_M, MOST_N = 0.8, 0.30, 0.1, 1000.0
# a polyline of 2000 points misses the water's edge by up to a step, and what the line falls within it
POLYLINE_M = 1e-3


def line(run, rise, tension, weight=0.8, dry=0.0):
    return Stretch(*(np.array(value, dtype=float) for value in (run, rise, tension, weight, dry)))


@pytest.fixture(scope="module")
def drawn(maker):
    """Random sites and cases, many of them so low that ferry lines cannot be kept."""
    random = np.random.default_rng(303)
    setups = maker.drawn(302, COUNT)
    table = table_of(setups)
    span = table[Of.SPAN]
    asked = Asked.of(
        site=np.arange(COUNT),
        whole=random.random(COUNT) < 0.8,
        drag_n=random.uniform(0.0, 2500.0, COUNT),
        water_rise_m=table[Of.NEAR_TIE] * random.uniform(0.0, 0.5, COUNT),
        clearance_m=random.uniform(0.9, 1.5, COUNT),
        set_n=random.uniform(500.0, 3000.0, COUNT),
        stiffness_n=random.uniform(4e4, 1.5e5, COUNT),
        seating_m=0.15,
    ).between(span * random.uniform(0.02, 0.15, COUNT), span * random.uniform(0.85, 0.98, COUNT))
    return carriages_at(table, asked, span[:, np.newaxis] * random.uniform(0.17, 0.83, (COUNT, PLACES)))


@dataclass(frozen=True)
class ByHand:
    """Heights over the water of each part, and whether each ferry line can be kept; shape (300, 3)."""

    hardware: np.ndarray
    track: np.ndarray
    ferries: list
    kept: list


@pytest.fixture(scope="module")
def by_hand(drawn, free_bodies):
    asked, rows = drawn.asked, drawn.rows
    of = drawn.table[:, asked.site, np.newaxis]
    water, needed = asked.water_rise_m[:, np.newaxis], asked.clearance_m[:, np.newaxis]
    carriage = of[Of.NEAR_TIE] - rows[CarriedRow.DROP] - water
    place = free_bodies.vector(drawn.at_m, drawn.bow_m, carriage)
    ring = free_bodies.vector(drawn.at_m, drawn.bow_m, carriage - RING_BELOW_M)
    skew = np.arctan2(of[Of.FLOW_ALONG], of[Of.FLOW_DOWN])

    def past(sign, edge):
        """Square to the flow, from the water's edge out over the water."""
        return lambda x, y: (
            sign
            * ((x - edge[:, np.newaxis, np.newaxis]) * np.cos(skew[..., None]) - y * np.sin(skew[..., None]))
        )

    track, ferries, kept = [], [], []
    for number, sign, edge in ((0, 1.0, asked.near_edge_m), (1, -1.0, asked.far_edge_m)):
        tie = free_bodies.vector(
            number * of[Of.SPAN] + 0 * ring[0], 0.0, of[Of.NEAR_TIE] + number * of[Of.RISE] - water
        )
        weight = of[Of.WEIGHT] / (1.0 + drawn.tension_n / asked.stiffness_n[:, np.newaxis])
        track.append(
            free_bodies.lowest_over_water(
                (tie, place), tension=drawn.tension_n, weight=weight, past_edge=past(sign, edge)
            )
        )
        station = free_bodies.vector(
            of[Of.STATION_X + number] + 0 * ring[0],
            of[Of.STATION_Y + number],
            of[Of.STATION_Z + number] - water,
        )
        held = np.where(asked.whole[:, np.newaxis], rows[CarriedRow.HELD_NEAR + number], 1e6)
        low = free_bodies.lowest_over_water(
            (station, ring), tension=held, weight=FERRY_N_M, past_edge=past(sign, edge)
        )
        rooms = np.stack([ring[2] - needed, station[2] - needed])
        asks = FERRY_N_M * free_bodies.size(station - ring) ** 2 / 2.0
        asks /= np.sqrt(np.maximum(rooms, ROOM_M)).sum(axis=0) ** 2
        ferries.append(low)
        kept.append((rooms.min(axis=0) >= ROOM_M) & (asks <= MOST_N))
    return ByHand(ring[2], np.minimum(*track), ferries, kept)


def test_each_part_hangs_where_a_polyline_of_it_does(drawn, by_hand):
    found, needed = heights_m(drawn), drawn.asked.clearance_m[:, np.newaxis]
    whole = drawn.asked.whole[:, np.newaxis]
    np.testing.assert_allclose(found[Part.HARDWARE], by_hand.hardware, rtol=0, atol=1e-9)
    # a track line that cannot hang lower than the hardware is told as the carriage on it
    lower = by_hand.track < by_hand.hardware
    assert np.count_nonzero(lower) > 5
    np.testing.assert_allclose(found[Part.TRACK_LINE][lower], by_hand.track[lower], rtol=0, atol=2e-3)
    assert np.all(found[Part.TRACK_LINE][~lower] >= by_hand.hardware[~lower] - 1e-3)
    for part, low, kept in zip((Part.FERRY_NEAR, Part.FERRY_FAR), by_hand.ferries, by_hand.kept, strict=True):
        counts = np.isfinite(found[part])
        assert np.count_nonzero(counts) > 30
        assert np.count_nonzero(whole & ~counts) > 100
        assert not np.any(counts & (kept | ~whole))
        np.testing.assert_allclose(found[part][counts], low[counts], rtol=0, atol=POLYLINE_M)
        # nothing that hangs too low and cannot be kept is left out
        left = whole & ~kept & (low < needed - POLYLINE_M)
        assert np.all(counts[left])


def test_what_is_left_is_under_nothing_where_a_part_is_too_low_and_nowhere_else(drawn, by_hand):
    needed = drawn.asked.clearance_m[:, np.newaxis]
    least = heights_m(drawn).min(axis=0)
    spare = spare_m(drawn)
    np.testing.assert_array_equal(spare < 0.0, least < needed)
    assert 50 < np.count_nonzero(spare < 0.0) < spare.size - 50
    assert np.all(spare <= by_hand.hardware - needed + 1e-12)
    np.testing.assert_allclose(clearance_margin(drawn), spare / np.maximum(needed, 0.5))


def test_a_level_line_hangs_by_its_sag_at_mid_span():
    """c (cosh(X / 2c) - 1): 30 m, 0.8 N/m, 120 N, so c = 150 m; as a parabola w X^2 / 8 T = 0.75 m."""
    assert lowest_over_m(line(30.0, 0.0, 120.0)) == pytest.approx(-150.0 * (np.cosh(0.1) - 1.0), abs=1e-12)
    assert lowest_over_m(line(30.0, 0.0, 120.0)) == pytest.approx(-0.75, rel=1e-3)


def test_a_straight_line_is_lowest_at_its_lower_end_over_water():
    """A tension without bound: toward the bank only as far as there is water."""
    assert lowest_over_m(line(30.0, 1.5, 1e9, dry=0.0)) == pytest.approx(-1.5, abs=1e-6)
    assert lowest_over_m(line(30.0, 1.5, 1e9, dry=0.2)) == pytest.approx(-1.2, abs=1e-6)
    assert lowest_over_m(line(30.0, -1.5, 1e9, dry=0.2)) == pytest.approx(0.0, abs=1e-6)
    assert lowest_over_m(line(30.0, 1.5, 200.0, dry=1.0)) == 0.0


def test_what_is_tauter_lighter_or_less_over_water_hangs_no_lower():
    random = np.random.default_rng(5)
    run, rise = random.uniform(5, 90, 500), random.uniform(-4, 4, 500)
    tension, dry = random.uniform(30, 1000, 500), random.uniform(0, 0.9, 500)
    low = lowest_over_m(line(run, rise, tension, dry=dry))
    assert np.all(low <= 0.0)
    for other in (
        line(run, rise, 1.3 * tension, dry=dry),
        line(run, rise, tension, weight=0.6, dry=dry),
        line(run, rise, tension, dry=dry + 0.1),
    ):
        assert np.all(lowest_over_m(other) >= low - 1e-12)
        assert np.count_nonzero(lowest_over_m(other) > low + 1e-6) > 100


def test_scaled_in_length_and_load_it_hangs_as_much_lower():
    """Lengths twice and tension four times as great, of rope twice as heavy: twice the size."""
    one = lowest_over_m(line(31.0, 0.7, 140.0, dry=0.1))
    assert lowest_over_m(line(62.0, 1.4, 560.0, weight=1.6, dry=0.1)) == pytest.approx(2.0 * one, rel=1e-12)


def test_mirrored_near_and_far_change_places(maker):
    """The same river seen from the other bank."""
    setup = maker.setup(46.0, 2.6, rise_m=1.1, skew_deg=12.0, up_down=maker.setup().ferry_near)
    setup = replace(setup, ferry_near=replace(setup.ferry_near, x_m=-3.0, z_m=2.2))
    far, near = setup.ferry_far, setup.ferry_near
    other = replace(
        setup,
        rise_m=-setup.rise_m,
        near_tie_height_m=setup.near_tie_height_m + setup.rise_m,
        skew_deg=-setup.skew_deg,
        ferry_near=replace(far, x_m=46.0 - far.x_m),
        ferry_far=replace(near, x_m=46.0 - near.x_m),
        up_down=replace(setup.up_down, x_m=46.0 - setup.up_down.x_m),
    )
    ends = np.array([2.0]), np.array([42.5])
    values = {"site": 0, "whole": True, "drag_n": [0.0, 900.0], "water_rise_m": 0.4, "clearance_m": 1.0}
    asked = Asked.of(**values, set_n=900.0, stiffness_n=9e4, seating_m=0.15)
    at = np.linspace(6.0, 40.0, 7)
    one = carriages_at(table_of([setup]), asked.between(*ends), at)
    back = asked.between(46.0 - ends[1], 46.0 - ends[0])
    mirrored = carriages_at(table_of([other]), back, 46.0 - at[::-1])
    found, swapped = heights_m(one), heights_m(mirrored)[[0, 1, 3, 2], :, ::-1]
    assert np.isfinite(found[2:]).any(axis=(1, 2)).all()
    np.testing.assert_allclose(found, swapped, rtol=0, atol=1e-6)
    np.testing.assert_allclose(spare_m(one), spare_m(mirrored)[:, ::-1], rtol=0, atol=1e-6)


def test_more_water_leaves_less(drawn):
    """Of a state as it is: the water alone a little higher, and so what must stay over it."""
    higher = replace(drawn, asked=replace(drawn.asked, water_rise_m=drawn.asked.water_rise_m + 0.1))
    assert np.all(spare_m(higher) < spare_m(drawn))
    whole = drawn.asked.whole[:, np.newaxis]
    fell = spare_m(drawn) - spare_m(higher)
    assert np.all(fell[~whole.repeat(PLACES, axis=1)] == pytest.approx(0.1, abs=1e-9))
