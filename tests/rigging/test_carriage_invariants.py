"""Whole sites mirrored and scaled: carriages, anchors, leverage, window, limit speed; and worst places."""

from dataclasses import replace

import numpy as np
import pytest

from atlas.rigging.asked import Asked
from atlas.rigging.carriages import carriages_at
from atlas.rigging.carried import CarriedRow
from atlas.rigging.clearance import line_clearance, spare_m
from atlas.rigging.envelope import (
    crossings,
    grid_of,
    resultant,
    summits,
    tension,
    with_folds,
    worst_of,
    worst_where_it_counts,
)
from atlas.rigging.ferry import StationPoint, toward
from atlas.rigging.fixtures import anchor_pulls, stood, up_down_n
from atlas.rigging.leverage import leverage_range, leverages
from atlas.rigging.limit_speed import limit_speed_search
from atlas.rigging.limits import ForceLimit, most_forces
from atlas.rigging.search import run_searches
from atlas.rigging.setups import Of, haul_efficiency, table_of
from atlas.rigging.window import pretension_windows
from atlas.rigging.worlds import clearance_margin, force_margin, hang_questions, pull_questions


def mirrored(site):
    """The same site seen from its far bank: what was the far tie point is the near one."""

    def over(point):
        return StationPoint(site.span_m - point.x_m, point.y_m, point.z_m)

    return replace(
        site,
        rise_m=-site.rise_m,
        near_tie_height_m=site.near_tie_height_m + site.rise_m,
        skew_deg=-site.skew_deg,
        ferry_near=over(site.ferry_far),
        ferry_far=over(site.ferry_near),
        up_down=over(site.up_down),
    )


def larger(site, times):
    """All lengths and all weights as many times as large; a metre of rope weighs what it did."""

    def at(point):
        return StationPoint(times * point.x_m, times * point.y_m, times * point.z_m)

    return replace(
        site,
        span_m=times * site.span_m,
        rise_m=times * site.rise_m,
        near_tie_height_m=times * site.near_tie_height_m,
        reach_m=times * site.reach_m,
        carriage_weight_n=times * site.carriage_weight_n,
        ring_below_line_m=times * site.ring_below_line_m,
        bow_ring_m=times * site.bow_ring_m,
        strand_least_m=times * site.strand_least_m,
        ferry_near=at(site.ferry_near),
        ferry_far=at(site.ferry_far),
        up_down=at(site.up_down),
    )


def asked_of(count, *, whole, seed=71, times=1.0):
    random = np.random.default_rng(seed)
    values = {
        "drag_n": times * random.uniform(200.0, 2500.0, count),
        # the ferry lines' 0.1 m of room at their ends and their 1 kN at most do not scale: a floor far down
        "water_rise_m": times * np.full(count, -3.0),
        "clearance_m": times * random.uniform(0.9, 1.2, count),
        "set_n": times * random.uniform(600.0, 2500.0, count),
        "stiffness_n": times * random.uniform(40e3, 150e3, count),
        "seating_m": times * random.choice([0.0, 0.1], count),
        "hauled": random.choice([True, False], count),
    }
    return Asked.of(site=np.arange(count), whole=whole, **values)


def solved(sites, asked, share=(0.25, 0.5, 0.7)):
    table = table_of(sites)
    return carriages_at(table, asked, table[Of.SPAN][:, np.newaxis] * np.array(share))


@pytest.fixture(scope="module", params=[True, False], ids=["whole system", "drag alone"])
def pair(request, maker):
    """40 sites and the same seen from the other bank, at the same places of the river."""
    sites = maker.drawn(72, 40)
    asked = asked_of(40, whole=request.param)
    here = solved(sites, asked)
    there = solved([mirrored(site) for site in sites], asked, share=(0.75, 0.5, 0.3))
    return here, there


def test_a_mirrored_site_mirrors_its_carriages(pair):
    here, there = pair
    scale = here.asked.drag_n.max()
    for name in ("tension_n", "bow_m", "downstream_n", "down_n", "strand_n", "resultant_n", "clearance_m"):
        np.testing.assert_allclose(
            getattr(there, name), getattr(here, name), rtol=1e-7, atol=1e-7, err_msg=name
        )
    np.testing.assert_allclose(there.along_n, -here.along_n, rtol=0, atol=1e-7 * scale)
    np.testing.assert_allclose(there.ferry_near_n, here.ferry_far_n, rtol=1e-6, atol=1e-5)
    np.testing.assert_allclose(there.ferry_far_n, here.ferry_near_n, rtol=1e-6, atol=1e-5)
    np.testing.assert_allclose(up_down_n(there), up_down_n(here), rtol=1e-7, atol=1e-7)


def test_a_mirrored_site_mirrors_the_pulls_on_its_anchors(pair):
    here, there = (anchor_pulls(state) for state in pair)
    flip = np.array([-1.0, 1.0, 1.0])[:, np.newaxis, np.newaxis]
    for one, other in (
        (here.near_tie, there.far_tie),
        (here.far_tie, there.near_tie),
        (here.ferry_near, there.ferry_far),
        (here.ferry_far, there.ferry_near),
        (here.up_down, there.up_down),
    ):
        np.testing.assert_allclose(other, flip * one, rtol=0, atol=1e-4)


def test_a_mirrored_site_mirrors_leverage(pair):
    (near, far), (other_near, other_far) = (leverages(state) for state in pair)
    np.testing.assert_allclose(other_near, far, rtol=0, atol=1e-7)
    np.testing.assert_allclose(other_far, near, rtol=0, atol=1e-7)


@pytest.mark.parametrize("whole", [True, False])
def test_a_site_twice_as_large_under_twice_the_loads_is_the_same_site(maker, whole):
    """Spans under 60 m, so that twice the set tension, load and stiffness stay in the range shown."""
    sites = [site for site in maker.drawn(73, 120) if site.span_m < 60.0][:40]
    small = solved(sites, asked_of(len(sites), whole=whole))
    large = solved([larger(site, 2.0) for site in sites], asked_of(len(sites), whole=whole, times=2.0))
    for name in ("tension_n", "along_n", "downstream_n", "down_n", "strand_n", "ferry_near_n", "ferry_far_n"):
        np.testing.assert_allclose(
            getattr(large, name), 2.0 * getattr(small, name), rtol=1e-7, atol=1e-5, err_msg=name
        )
    np.testing.assert_allclose(large.bow_m, 2.0 * small.bow_m, rtol=0, atol=1e-8)
    np.testing.assert_allclose(large.height_m, 2.0 * small.height_m, rtol=0, atol=1e-7)
    np.testing.assert_allclose(stood(large), 2.0 * stood(small), rtol=1e-6, atol=1e-4)
    for one, other in zip(leverages(large), leverages(small), strict=True):
        np.testing.assert_allclose(one, other, rtol=0, atol=1e-8)


def test_where_the_ferry_lines_have_leverage_scales_and_mirrors(maker):
    sites = [site for site in maker.drawn(74, 40) if site.span_m < 60.0]
    count = len(sites)
    least = np.full(count, 0.5)
    here = leverage_range(table_of(sites), asked_of(count, whole=False), least=least)
    large = leverage_range(
        table_of([larger(site, 2.0) for site in sites]), asked_of(count, whole=False, times=2.0), least=least
    )
    span = np.array([site.span_m for site in sites])
    some = here[0] < here[1]
    assert some.sum() > 10
    for one, other in zip(here, large, strict=True):
        np.testing.assert_allclose(other[some], 2.0 * one[some], rtol=1e-7)
    there = leverage_range(
        table_of([mirrored(site) for site in sites]), asked_of(count, whole=False), least=least
    )
    np.testing.assert_allclose(there[0][some], (span - here[1])[some], rtol=0, atol=1e-6)
    np.testing.assert_allclose(there[1][some], (span - here[0])[some], rtol=0, atol=1e-6)


def test_without_current_an_up_down_line_pulls_nothing_and_a_boat_level_with_the_ring_only_down_river(maker):
    """The limits of what hangs: no drag, the weight alone; no height over the bow ring, the drag alone."""
    site = maker.setup()
    still = solved([site], Asked.of(**asked_values(drag_n=0.0, whole=False)))
    np.testing.assert_array_equal(still.strand_n, 0.0)
    np.testing.assert_array_equal(still.downstream_n, 0.0)
    np.testing.assert_allclose(still.down_n, 120.0, rtol=1e-9)
    low = replace(site, near_tie_height_m=0.3)
    level = solved([low], Asked.of(**asked_values(drag_n=1500.0, whole=False)))
    np.testing.assert_allclose(level.strand_n, 1500.0, rtol=1e-12)
    np.testing.assert_allclose(level.down_n, 120.0, rtol=1e-8)


def asked_values(**changes):
    return {
        "site": 0, "whole": True, "drag_n": 1500.0, "water_rise_m": 0.0, "clearance_m": 1.0, "set_n": 1500.0,
        "stiffness_n": 1e5, "seating_m": 0.0,
    } | changes  # fmt: skip


def test_a_far_boat_on_a_level_strand_pulls_its_drag(maker):
    """Strands of 200 m under a ring 3 m up: h / r 1.5 %, which adds a ten thousandth to their pull."""
    state = solved([maker.setup()], Asked.of(**asked_values(strand_m=200.0, whole=False)))
    over = state.ring_m - 0.3
    np.testing.assert_allclose(state.strand_n, 1500.0 * np.hypot(1.0, over / 200.0), rtol=1e-9)
    np.testing.assert_allclose(state.strand_n, 1500.0, rtol=2e-4)


def test_losses_of_the_up_down_line_add_up():
    """Each strand more gets e times what one pulley fewer gives; endless strands e / (1 - e); none lost n."""
    for e in (0.5, 0.75, 0.8, 0.9):
        for n in range(1, 6):
            more = haul_efficiency(bow_strands=n + 1, pulley_efficiency=e)
            assert more == pytest.approx(e * (1.0 + haul_efficiency(bow_strands=n, pulley_efficiency=e)))
        endless = haul_efficiency(bow_strands=200, pulley_efficiency=e)
        assert endless == pytest.approx(e / (1.0 - e), rel=1e-6)
    assert haul_efficiency(bow_strands=3, pulley_efficiency=1.0) == pytest.approx(3.0)


def test_the_way_to_a_station_mirrors_scales_and_is_one_long():
    station = StationPoint(3.0, -4.0, 2.0)
    places = {"x_m": np.array([1.0, -7.0]), "y_m": np.array([2.0, 9.0]), "z_m": np.array([0.5, -1.0])}
    x, y, z, far = toward(station, **places)
    np.testing.assert_allclose(x**2 + y**2 + z**2, 1.0)
    turned = toward(StationPoint(-3.0, -4.0, 2.0), **(places | {"x_m": -places["x_m"]}))
    np.testing.assert_allclose(turned[0], -x)
    np.testing.assert_allclose(turned[3], far)
    twice = toward(StationPoint(6.0, -8.0, 4.0), **{name: 2.0 * value for name, value in places.items()})
    np.testing.assert_allclose(twice[3], 2.0 * far)
    np.testing.assert_allclose(twice[:3], np.stack([x, y, z]))


# ---- searches


@pytest.fixture(scope="module")
def rigs(maker):
    """12 sites and their mirrors, in one water each."""
    sites = maker.drawn(75, 12)
    here, there = maker.rigged(sites), maker.rigged([mirrored(site) for site in sites])
    speed = np.random.default_rng(76).uniform(0.8, 1.8, 12)
    worlds = maker.worlds(here, speed)
    span = here.table[Of.SPAN]
    turned = replace(worlds, from_m=span - worlds.to_m, to_m=span - worlds.from_m)
    return here, worlds, there, turned


def test_a_mirrored_site_has_the_same_window(rigs):
    here, worlds, there, turned = rigs
    ends = zip(pretension_windows(here, worlds), pretension_windows(there, turned), strict=True)
    met = 0
    for one, other in ends:
        assert other.governed_by == one.governed_by
        for name in ("low_n", "high_n"):
            value = getattr(one, name)
            # places are refined from a grid that is mirrored too; closed to 0.01 N and 4e-4 of a margin
            assert getattr(other, name) == (
                None if value is None else pytest.approx(value, rel=2e-3, abs=1.0)
            )
            met += value is not None
    assert met > 12


def test_a_mirrored_site_has_the_same_limit_speed(rigs, maker):
    here, worlds, there, turned = rigs
    most = np.full(12, 4.5)
    found = [
        run_searches(
            rigged.table,
            rigged.ropes,
            [limit_speed_search(rigged, maker.cases(12), asked, speed_most_m_s=most)],
        )[0]
        for rigged, asked in ((here, worlds), (there, turned))
    ]
    np.testing.assert_array_equal(found[0].never, found[1].never)
    np.testing.assert_allclose(found[1].value, found[0].value, rtol=2e-3)
    assert np.isfinite(found[0].value).sum() > 4


def test_margins_are_what_is_left(rigs):
    """Half of what is allowed leaves as much again; a limit twice as strong leaves 2 m + 1 for m."""
    rigged, worlds, *_ = rigs
    asked = pull_questions(worlds, rigged.ropes)
    state = carriages_at(rigged.table, asked, 0.5 * rigged.table[Of.SPAN, asked.site][:, np.newaxis])
    margin, cause = force_margin(state, rigged.most_n)
    np.testing.assert_allclose(force_margin(state, 2.0 * rigged.most_n)[0], 2.0 * margin + 1.0, rtol=1e-12)
    by_hand = rigged.most_n[:, asked.site] / stood(state)[:, :, 0] - 1.0
    np.testing.assert_allclose(margin[:, 0], by_hand.min(axis=0), rtol=1e-12)
    np.testing.assert_array_equal(cause[:, 0], by_hand.argmin(axis=0))
    hung = hang_questions(worlds, rigged.ropes)
    low = carriages_at(rigged.table, hung, 0.5 * rigged.table[Of.SPAN, hung.site][:, np.newaxis])
    needed = hung.clearance_m[:, np.newaxis]
    np.testing.assert_allclose(clearance_margin(low), spare_m(low) / needed, rtol=1e-9)


def test_of_several_limits_on_one_force_the_least_counts_in_any_order():
    limits = [ForceLimit("factor", "rope", 34e3, 5.0), ForceLimit("factor", "link", 30e3, 5.0)]
    one, other = most_forces([limits]), most_forces([limits[::-1]])
    np.testing.assert_array_equal(one, other)
    assert one.min() == 6e3
    assert np.isinf(most_forces([[]])).all()
    np.testing.assert_array_equal(most_forces([limits, []])[:, 0], one[:, 0])


# ---- worst places


def test_the_summit_of_a_parabola_is_its_own(rigs):
    """Wherever it lies between the places, however steep, and at an end where it lies past it."""
    rigged, worlds, *_ = rigs
    asked = pull_questions(worlds, rigged.ropes)
    each = asked.count // worlds.site.size
    ends = {"from_m": np.repeat(worlds.from_m, each), "to_m": np.repeat(worlds.to_m, each)}
    grid = grid_of(rigged.table, asked, count=7, **ends)
    random = np.random.default_rng(77)
    share, steep = random.uniform(-0.2, 1.2, (asked.count, 1)), random.uniform(0.1, 50.0, (asked.count, 1))
    top = ends["from_m"][:, np.newaxis] + share * (ends["to_m"] - ends["from_m"])[:, np.newaxis]
    found = summits(grid, 7.0 - steep * (grid.at_m - top) ** 2)
    np.testing.assert_allclose(found, np.clip(top[:, 0], ends["from_m"], ends["to_m"]), rtol=0, atol=1e-8)


@pytest.mark.parametrize("measure", [tension, resultant, line_clearance])
def test_the_worst_of_alternatives_is_found_where_it_counts(rigs, measure):
    """As bad as where every one of them is refined: half a thousandth, or half a millimetre."""
    rigged, worlds, *_ = rigs
    asked = (hang_questions if measure is line_clearance else pull_questions)(worlds, rigged.ropes)
    each = asked.count // worlds.site.size
    ends = {"from_m": np.repeat(worlds.from_m, each), "to_m": np.repeat(worlds.to_m, each)}
    together = each // worlds.drag_n.shape[1]
    grid = grid_of(rigged.table, asked, count=9, **ends)
    found = measure(
        worst_where_it_counts(grid, measure, together=together, slack=lambda most: 0.05 * np.abs(most) + 1e-3)
    )
    everywhere = measure(worst_of(grid_of(rigged.table, asked, count=9, measure=measure, **ends), measure))
    one, other = (values.reshape(-1, together).max(axis=1) for values in (found, everywhere))
    np.testing.assert_allclose(one, other, rtol=5e-4, atol=5e-4)


def test_folds_are_found_where_the_ferry_lines_change_their_part(rigs):
    """Between nine places the far line leaves off and the near one begins: a place is added there."""
    rigged, worlds, *_ = rigs
    asked = pull_questions(worlds, rigged.ropes, whole=(True,))
    each = asked.count // worlds.site.size
    ends = {"from_m": np.repeat(worlds.from_m, each), "to_m": np.repeat(worlds.to_m, each)}
    plain = grid_of(rigged.table, asked, count=9, **ends)
    left = plain.rows[CarriedRow.LEFT]
    once = np.flatnonzero(np.count_nonzero(left[:, :-1] * left[:, 1:] < 0.0, axis=1) == 1)
    assert once.size > 10
    folded = with_folds(plain, tension)
    nearest = np.abs(folded.rows[CarriedRow.LEFT]).min(axis=1)
    assert np.all(nearest[once] < 0.02 * np.ptp(left[once], axis=1))
    told = np.stack(crossings(plain, tension(plain)), axis=1)[once]
    some = np.take_along_axis(
        plain.at_m[once], np.argmax(left[once, :-1] * left[once, 1:] < 0.0, axis=1)[:, np.newaxis], axis=1
    )
    step = plain.at_m[once, 1:2] - plain.at_m[once, :1]
    # the first kind told is this one, between the two places where the sign changes
    assert np.all((told[:, :1] >= some) & (told[:, :1] <= some + step))
