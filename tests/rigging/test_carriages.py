"""The carriage with all that hangs on it, against a plain second writing of its forces and scipy's root."""

from dataclasses import replace
from math import cos, hypot, radians, sin, sqrt

import numpy as np
import pytest
from scipy.optimize import root

from atlas.faults import OutOfRange
from atlas.rigging import Rope, TrackLine
from atlas.rigging.asked import FREE, Asked
from atlas.rigging.carriages import carriages_at
from atlas.rigging.carried import CarriedRow
from atlas.rigging.ferry import StationPoint
from atlas.rigging.setups import table_of


class Plain:
    """One carriage by hand: every force a tension along a unit vector, nothing shared with the package."""

    def __init__(self, site, *, at, drag, rise, clearance, set_n, stiffness, seating, whole):
        self.site, self.at, self.drag, self.rise, self.whole = site, at, drag, rise, whole
        self.floor = rise + clearance
        self.line = TrackLine(
            span_m=site.span_m,
            rise_m=site.rise_m,
            rope=Rope(strength_n=40e3, weight_n_m=site.weight_n_m, stiffness_n=stiffness),
            pretension_n=set_n,
            seating_m=seating,
        )

    def hung(self, downstream, down):
        state = self.line.loaded(at_m=self.at, downstream_n=downstream, down_n=down)
        bow, height, along = float(state.downstream_m), float(state.height_m), float(state.along_n)
        return (
            state,
            (self.at, bow, self.site.near_tie_height_m + height - self.site.ring_below_line_m),
            along,
        )

    def toward(self, ring, station):
        way = (station.x_m - ring[0], station.y_m - ring[1], station.z_m - ring[2])
        far = sqrt(sum(part**2 for part in way))
        return far, [part / far for part in way]

    def least(self, ring, station):
        """A parabola's tension, its lowest point at the floor; ends at least 0.1 m over it; 1 kN at most."""
        far, _ = self.toward(ring, station)
        a, b = (max(end - self.floor, 0.1) for end in (station.z_m, ring[2]))
        return min(self.site.ferry_weight_n_m * far**2 / (2 * (sqrt(a) + sqrt(b)) ** 2), 1000.0)

    def forces(self, ring, along):
        """Forces on the ring but the track line's; strand pull; near ferry, far ferry, up-down line."""
        site, skew = self.site, radians(self.site.skew_deg if self.whole else 0.0)
        over = max(ring[2] - site.bow_ring_m - self.rise, 0.0)
        length = max(site.reach_m - ring[1], site.strand_least_m)
        strand = self.drag * hypot(1.0, over / length)
        total = [
            self.drag * sin(skew),
            self.drag * cos(skew),
            -site.carriage_weight_n - self.drag * over / length,
        ]
        if not self.whole:
            return total, strand, (0.0, 0.0, strand / site.bow_strands)
        tensions = [
            self.least(ring, site.ferry_near),
            self.least(ring, site.ferry_far),
            strand / site.bow_strands,
        ]
        stations = (site.ferry_near, site.ferry_far, site.up_down)
        units = [self.toward(ring, station)[1] for station in stations]
        given = total[0] + sum(tension * unit[0] for tension, unit in zip(tensions, units, strict=True))
        missing = along - given
        if missing > 0:
            tensions[1] += missing / abs(units[1][0])
        else:
            tensions[0] += -missing / abs(units[0][0])
        for tension, unit in zip(tensions, units, strict=True):
            total = [part + tension * share for part, share in zip(total, unit, strict=True)]
        return total, strand, tuple(tensions)

    def gaps(self, load):
        _, ring, along = self.hung(load[0], load[1])
        total, _, _ = self.forces(ring, along)
        return [total[1] - load[0], -total[2] - load[1]]


def asked_of(site, **values):
    given = {
        "site": 0, "whole": True, "drag_n": 2000.0, "water_rise_m": 0.4, "clearance_m": 1.1, "set_n": 1500.0,
        "stiffness_n": 1.0e5, "seating_m": 0.0,
    }  # fmt: skip
    return table_of([site]), Asked.of(**(given | values))


def draw(maker, seed, count):
    random = np.random.default_rng(seed)
    sites = maker.drawn(seed, count)
    return sites, {
        "drag_n": random.choice([0.0, 1.0], count, p=[0.25, 0.75]) * random.uniform(100, 5000, count),
        "water_rise_m": random.uniform(0, 1.0, count),
        "clearance_m": random.uniform(0.9, 1.3, count),
        "set_n": np.exp(random.uniform(np.log(400), np.log(4000), count)),
        "stiffness_n": np.exp(random.uniform(np.log(20e3), np.log(200e3), count)),
        "seating_m": random.choice([0.0, 0.15], count),
    }


@pytest.mark.parametrize("whole", [True, False])
def test_agrees_with_forces_written_out_plainly(maker, whole):
    """60 sites at 5 places each, started from the found load and from one 10 % beside it."""
    sites, values = draw(maker, 3, 60)
    table = table_of(sites)
    asked = Asked.of(site=np.arange(60), whole=whole, **values)
    share = np.array([0.25, 0.35, 0.5, 0.6, 0.75])
    state = carriages_at(table, asked, table[0][:, np.newaxis] * share)
    for k, site in enumerate(sites):
        for place in range(share.size):
            own = {
                name.removesuffix("_n").removesuffix("_m"): float(value[k]) for name, value in values.items()
            }
            plain = Plain(
                site,
                at=float(state.at_m[k, place]),
                whole=whole,
                set_n=own.pop("set"),
                rise=own.pop("water_rise"),
                **own,
            )
            load = np.array([state.downstream_n[k, place], state.down_n[k, place]])
            scale = site.carriage_weight_n + plain.drag
            # equilibrium of carriage, boat and ring: to 1e-9 of the load
            assert np.max(np.abs(plain.gaps(load))) < 1e-9 * scale
            track, ring, along = plain.hung(*load)
            total, strand, _ = plain.forces(ring, along)
            assert abs(total[0] - along) < 1e-9 * scale or not whole
            assert float(track.tension_n) == pytest.approx(state.tension_n[k, place], rel=1e-9)
            assert ring[2] - plain.rise == pytest.approx(state.clearance_m[k, place], abs=1e-9)
            assert strand == pytest.approx(state.strand_n[k, place], rel=1e-9)
            if place == 2:
                found = root(plain.gaps, load * 1.1 + 5.0, tol=1e-12)
                if found.success:  # from beside, scipy's own steps; a slack line may lead it elsewhere
                    np.testing.assert_allclose(found.x, load, rtol=1e-6, atol=1e-6 * scale)


def test_ferry_lines_carry_the_carriages_friction(maker):
    """Sheave of efficiency e, rope turned half round: loses (1 - e) T where the pulley stands 2 T."""
    sites, values = draw(maker, 4, 40)
    table = table_of(sites)
    state = carriages_at(
        table, Asked.of(site=np.arange(40), whole=True, **values), 0.5 * table[0][:, np.newaxis]
    )
    for k, site in enumerate(sites):
        own = {name: float(value[k]) for name, value in values.items()}
        plain = Plain(
            site, at=float(state.at_m[k, 0]), drag=own["drag_n"], rise=own["water_rise_m"],
            clearance=own["clearance_m"], set_n=own["set_n"], stiffness=own["stiffness_n"],
            seating=own["seating_m"], whole=True,
        )  # fmt: skip
        _, ring, along = plain.hung(float(state.downstream_n[k, 0]), float(state.down_n[k, 0]))
        _, _, (near, far, _) = plain.forces(ring, along)
        rub = (
            0.5
            * (1 - site.pulley_efficiency)
            * hypot(along, *(float(v[k, 0]) for v in (state.downstream_n, state.down_n)))
        )
        leverage = [abs(plain.toward(ring, station)[1][0]) for station in (site.ferry_near, site.ferry_far)]
        # the line that pulls has all of the friction on it; the other what is left of it over its slack
        assert near - 1e-6 <= state.ferry_near_n[k, 0] <= near + rub / leverage[0] + 1e-6
        assert far - 1e-6 <= state.ferry_far_n[k, 0] <= far + rub / leverage[1] + 1e-6
        left = state.rows[CarriedRow.LEFT][k, 0]
        puller, base, share = (
            (state.ferry_far_n, far, leverage[1]) if left > 0 else (state.ferry_near_n, near, leverage[0])
        )
        assert puller[k, 0] == pytest.approx(base + rub / share, rel=1e-9)


def test_drag_alone_by_hand():
    """Strands 3 up, 4 out: they pull 5/4 of the drag, 3/4 of it down (statics of the boat)."""
    from atlas.rigging.pulls import Hung, pulls_at  # noqa: PLC0415 -- only here

    one = np.ones(1)
    hung = Hung(
        drag=800 * one, along=0 * one, downstream=one, weight=120 * one, ring_drop=0 * one, bow_ring=3 * one,
        reach=4 * one, strand_least=3 * one, tended=None,
    )  # fmt: skip
    pulls = pulls_at(hung, place=np.zeros((2, 1)), along=0 * one)
    assert (pulls.strand[0], *pulls.load[:, 0]) == pytest.approx((1000.0, 800.0, 720.0))


def test_track_line_gives_the_state_back(maker):
    site = maker.setup(rise_m=1.0)
    table, asked = asked_of(site, seating_m=0.15, whole=[True, False])
    places = np.linspace(5.0, 37.0, 9)
    state = carriages_at(table, asked, places)
    line = TrackLine(
        span_m=42.0,
        rise_m=1.0,
        rope=Rope(strength_n=40e3, weight_n_m=1.02, stiffness_n=1.0e5),
        pretension_n=1500.0,
        seating_m=0.15,
    )
    again = line.loaded(at_m=places, downstream_n=state.downstream_n, down_n=state.down_n)
    np.testing.assert_allclose(again.tension_n, state.tension_n, rtol=1e-9)
    np.testing.assert_allclose(again.along_n, state.along_n, atol=1e-5)
    np.testing.assert_allclose(again.height_m, state.height_m, atol=1e-9)


def test_mirrored_banks_mirror_the_state(maker):
    """Near and far exchanged, the up-down line left out (one strand too little to be hauled is none)."""
    here = maker.setup(
        rise_m=1.0, height_m=3.0, bow_strands=4, up_down=StationPoint(21.0, 9e3, 3.0), skew_deg=10.0
    )
    there = replace(
        here,
        rise_m=-1.0,
        near_tie_height_m=4.0,
        ferry_near=StationPoint(-1.0, -8.0, 4.0),
        ferry_far=StationPoint(43.0, -8.0, 3.0),
        skew_deg=-10.0,
    )
    places = np.linspace(8.0, 34.0, 9)
    one, other = (carriages_at(*asked_of(site), places) for site in (here, there))
    np.testing.assert_allclose(one.tension_n, other.tension_n[:, ::-1], rtol=1e-7)
    np.testing.assert_allclose(one.along_n, -other.along_n[:, ::-1], atol=1e-3)
    np.testing.assert_allclose(one.clearance_m, other.clearance_m[:, ::-1], atol=1e-6)
    np.testing.assert_allclose(one.ferry_near_n, other.ferry_far_n[:, ::-1], rtol=1e-6, atol=1e-3)


def test_lengths_and_loads_scaled_alike_scale_the_state(maker):
    """All lengths by 2, all forces by 2 (weights a metre kept): the same shape twice as large.

    The ends' 0.1 m and the 1 kN of the ferry lines do not scale: heights are kept well over the one and
    tensions under the other.
    """
    small = maker.setup(span_m=30.0, height_m=4.0)
    points = {
        name: StationPoint(*(2 * getattr(getattr(small, name), axis) for axis in ("x_m", "y_m", "z_m")))
        for name in ("ferry_near", "ferry_far", "up_down")
    }
    large = replace(
        small, span_m=60.0, near_tie_height_m=8.0, reach_m=30.0, carriage_weight_n=240.0,
        ring_below_line_m=0.6, bow_ring_m=0.6, strand_least_m=6.0, **points,
    )  # fmt: skip
    first = carriages_at(*asked_of(small, drag_n=800.0, water_rise_m=0.0, clearance_m=1.0), [12.0, 15.0])
    second = carriages_at(
        *asked_of(large, drag_n=1600.0, water_rise_m=0.0, clearance_m=2.0, set_n=3000.0, stiffness_n=2.0e5),
        [24.0, 30.0],
    )
    np.testing.assert_allclose(second.tension_n, 2 * first.tension_n, rtol=1e-9)
    np.testing.assert_allclose(second.clearance_m, 2 * first.clearance_m, rtol=1e-8)
    np.testing.assert_allclose(second.ferry_far_n, 2 * first.ferry_far_n, rtol=1e-8)


def test_rising_water_flattens_the_strands(maker):
    low, high = (
        carriages_at(*asked_of(maker.setup(), water_rise_m=rise, whole=False), np.linspace(4, 38, 9))
        for rise in (0.0, 1.0)
    )
    assert np.all(high.down_n < low.down_n)
    assert np.all(high.clearance_m < low.clearance_m)


def test_a_nearer_boat_pulls_deeper(maker):
    near, far = (
        carriages_at(*asked_of(maker.setup(), strand_m=length), np.linspace(6, 36, 9))
        for length in (4.0, 20.0)
    )
    assert np.all(near.clearance_m < far.clearance_m)


def test_higher_ties_are_lower_water(maker):
    """Ties and stations raised together by a metre are the water lowered by one."""
    site = maker.setup()
    up = {
        name: replace(getattr(site, name), z_m=getattr(site, name).z_m + 1.0)
        for name in ("ferry_near", "ferry_far", "up_down")
    }
    raised = carriages_at(*asked_of(replace(site, **up), raised_m=1.0), [20.0])
    lowered = carriages_at(*asked_of(site, water_rise_m=-0.6), [20.0])
    assert raised.clearance_m[0, 0] == pytest.approx(lowered.clearance_m[0, 0], abs=1e-9)
    assert raised.tension_n[0, 0] == pytest.approx(lowered.tension_n[0, 0], rel=1e-9)


def test_a_tighter_line_hangs_higher_and_bows_less(maker):
    """What lets clearance and bow be judged at the least set tension alone."""
    sites, values = draw(maker, 5, 400)
    table = table_of(sites)
    values["drag_n"] = np.minimum(values["drag_n"], 3000.0)
    for whole in (True, False):
        loose, tight = (
            carriages_at(
                table,
                Asked.of(site=np.arange(400), whole=whole, **(values | {"set_n": factor * values["set_n"]})),
                table[0][:, np.newaxis] * np.array([0.3, 0.4, 0.5, 0.6, 0.7]),
            )
            for factor in (1.0, 1.5)
        )
        # drawn up far over what is needed, a short line may come down by millimetres when it is set tighter
        close = loose.clearance_m < 1.5 * values["clearance_m"][:, np.newaxis]
        assert close.mean() > 0.2
        assert np.all(tight.clearance_m[close] >= loose.clearance_m[close] - 1e-9)
        assert np.all(tight.clearance_m >= loose.clearance_m - 0.05)
        if not whole:  # which bows farther than with ferry lines, and so is what is printed
            assert np.all(tight.bow_m <= loose.bow_m + 1e-9)


def test_every_state_of_a_large_draw_is_answered(maker):
    sites, values = draw(maker, 6, 3000)
    table = table_of(sites)
    asked = Asked.of(site=np.arange(3000), whole=True, **(values | {"set_n": 300.0 + 0.2 * values["set_n"]}))
    state = carriages_at(table, asked, table[0][:, np.newaxis] * np.array([0.25, 0.5, 0.75]))
    assert np.isfinite(state.rows).all()


def test_a_place_off_the_range_is_refused(maker):
    with pytest.raises(OutOfRange) as told:
        carriages_at(*asked_of(maker.setup()), [0.5])
    assert str(told.value) == (
        "at_m: outside the range in which the answer was shown; got 0.5 m; "
        "allowed 0.84 to 41.16 m (2 to 98 % of the span)"
    )


def test_a_setup_out_of_range_is_refused(maker):
    with pytest.raises(OutOfRange) as told:
        maker.setup(span_m=9.0)
    assert str(told.value) == (
        "span_m: outside the range in which the answer was shown; got 9 m; allowed 10 to 250 m"
    )
    with pytest.raises(OutOfRange) as told:
        maker.setup(pulley_efficiency=1.2)
    assert str(told.value) == "pulley efficiency 1.2: allowed above 0, up to 1"


def test_strands_are_free_unless_told(maker):
    _, asked = asked_of(maker.setup())
    assert np.isnan(asked.strand_m).all()
    assert np.isnan(FREE)
