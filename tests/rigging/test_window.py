"""Window, limit speed, closest boat and ties: put back, by hand, at their ends; how roots are closed."""

from dataclasses import replace

import numpy as np
import pytest

from atlas.rigging.clearance import line_clearance
from atlas.rigging.closest_boat import NEAREST_M, closest_boat_search
from atlas.rigging.envelope import grid_of, tension, worst_of
from atlas.rigging.ferry import StationPoint
from atlas.rigging.fixtures import Stand
from atlas.rigging.limit_speed import limit_speed_search
from atlas.rigging.limits import ForceLimit
from atlas.rigging.rigged import RopeBounds, cause_code
from atlas.rigging.roots import CLOSE, Brackets
from atlas.rigging.search import run_searches
from atlas.rigging.ties import tie_raise_search
from atlas.rigging.window import pretension_windows
from atlas.rigging.worlds import hang_questions, pull_questions

# A margin is looked for to 4e-4 on 9 places and what is remembered of the worst; the tests look at 101
# places and refine. Asked is 0.1 % of the governing constraint.
ASKED = 1e-3


def margins(maker, rigged, worlds):
    """Least margins of each world on a fine grid, refined: (force, line_clearance)."""
    return maker.force_margins(rigged, worlds)[0], maker.clear_margins(rigged, worlds)


@pytest.fixture(scope="module")
def drawn(maker):
    """60 sites in waters of their own."""
    rigged = maker.rigged(maker.drawn(21, 60))
    return rigged, maker.worlds(rigged, np.random.default_rng(22).uniform(0.8, 2.4, 60), rise=0.3)


def test_put_back_the_window_meets_its_limits(drawn, maker):
    rigged, worlds = drawn
    ends = pretension_windows(rigged, worlds)
    high = np.array([300.0 if end.high_n is None else end.high_n for end in ends])
    low = np.array([3996.0 if end.low_n is None else end.low_n for end in ends])
    force, _ = margins(maker, rigged, replace(worlds, set_most_n=high))
    _, clear = margins(maker, rigged, replace(worlds, set_least_n=low))
    governed = 0
    for site, end in enumerate(ends):
        if end.high_n is None:
            assert force[site] < 0.0
        elif end.governed_by == "pretension_rule":
            assert end.high_n == 3996.0
            assert force[site] > -ASKED
        else:
            assert abs(force[site]) < ASKED
            governed += 1
        if end.low_n is None:
            assert clear[site] < ASKED
        elif end.low_n > 300.0:
            assert abs(clear[site]) < ASKED
            governed += 1
        else:
            assert clear[site] > -ASKED
    assert governed > 30


def test_lower_ties_never_widen_the_window(maker):
    sites = maker.drawn(23, 30)
    lower = [replace(site, near_tie_height_m=site.near_tie_height_m - 0.4) for site in sites]
    speed = np.full(30, 1.6)
    high, low = (
        pretension_windows(rigged, maker.worlds(rigged, speed))
        for rigged in map(maker.rigged, (sites, lower))
    )
    for above, below in zip(high, low, strict=True):
        if below.is_open:
            assert above.is_open
            assert above.low_n <= below.low_n + 2.0


def test_the_capture_governs_where_it_is_weak(maker):
    weak = (maker.limits[0], ForceLimit("capture", "device", 5e3, 1.0))
    rigged = maker.rigged([maker.setup()], limits=weak)
    (ends,) = pretension_windows(rigged, maker.worlds(rigged, 2.0))
    assert ends.governed_by == "capture"


def test_upper_end_by_hand_where_drag_alone_counts(maker):
    """Rope without weight pulled by P at mid-span: sin a = P / 2T, and its stretch closes the triangle:
    T0 = EA ((1 + T / EA) cos a - 1) (statics). The carriage's 120 N and the rope's own weight are left
    out of it: together under 1 % here. The up-down station far upriver takes its strand off the line.
    """
    site = maker.setup(height_m=1.0, bow_ring_m=2.0, up_down=StationPoint(21.0, -900.0, 1.0))
    soft = RopeBounds(stiffness_n=100e3, low_n=100e3, high_n=100e3, seating_m=0.0)
    rigged = maker.rigged([site], limits=(ForceLimit("capture", "device", 5e3, 1.0),), bounds=soft)
    worlds = maker.worlds(rigged, 2.0)
    (ends,) = pretension_windows(rigged, worlds)
    sine = float(worlds.drag_n[0, 2]) / (2.0 * 5000.0)
    by_hand = 100e3 * ((1.0 + 0.05) * np.sqrt(1.0 - sine**2) - 1.0)
    assert ends.high_n == pytest.approx(by_hand, rel=0.01)


def test_too_fast_for_any_set_tension(maker):
    rigged = maker.rigged([maker.setup()], limits=(ForceLimit("capture", "device", 5e3, 1.0),))
    (ends,) = pretension_windows(rigged, maker.worlds(rigged, 3.5))
    assert (ends.low_n, ends.high_n, ends.governed_by) == (ends.low_n, None, "capture")
    assert not ends.is_open


def test_one_site_is_answered_as_among_many(drawn, maker):
    rigged, worlds = drawn
    together = pretension_windows(rigged, worlds)
    for site in (0, 17, 41):
        one = maker.rigged([rigged.sites[site].setup])
        alone = pretension_windows(one, replace(worlds.part(np.array([site])), site=np.array([0])))
        assert alone[0].governed_by == together[site].governed_by
        for end in ("low_n", "high_n"):
            first, second = getattr(alone[0], end), getattr(together[site], end)
            assert first == (None if second is None else pytest.approx(second, rel=1e-9))


def opening(rigged, worlds, most_m):
    search = tie_raise_search(rigged, worlds, most_m=np.full(1, most_m))
    return run_searches(rigged.table, rigged.ropes, [search])[0]


def test_raised_ties_open_an_empty_window(maker):
    site = maker.setup(60.0, 1.5)
    rigged = maker.rigged([site])
    worlds = maker.worlds(rigged, 1.8)
    (ends,) = pretension_windows(rigged, worlds)
    assert not ends.is_open
    at_top = replace(worlds, set_least_n=np.array([ends.high_n]))
    found = opening(rigged, at_top, 6.0)
    for change, held in ((0.0, True), (-0.01, False)):
        _, clear = margins(maker, rigged, replace(at_top, raised_m=found.value + change))
        assert (clear[0] > -1e-5) == held


def test_no_tie_height_opens_what_force_has_closed(maker):
    rigged = maker.rigged([maker.setup(60.0, 1.5)])
    worlds = replace(maker.worlds(rigged, 1.8), set_least_n=np.array([400.0]))
    assert opening(rigged, worlds, 0.2).never[0]


def limit_speeds(maker, rigged, worlds, most=4.5):
    sites = len(rigged.sites)
    search = limit_speed_search(rigged, maker.cases(sites), worlds, speed_most_m_s=np.full(sites, most))
    return run_searches(rigged.table, rigged.ropes, [search])[0]


def test_the_limit_speed_put_back_is_at_the_limit(maker):
    rigged = maker.rigged(maker.drawn(24, 60))
    set_n = np.random.default_rng(25).uniform(700, 2500, 60)
    worlds = maker.worlds(rigged, 0.0, least=set_n, most=1.2 * set_n)
    found = limit_speeds(maker, rigged, worlds)
    answered = np.flatnonzero(~found.never & ~found.always)
    assert answered.size > 30
    speed = np.where(np.isnan(found.value), 0.0, found.value)
    at = maker.worlds(rigged, speed, least=set_n, most=1.2 * set_n)
    force, clear = margins(maker, rigged, at)
    least = np.minimum(force, clear)
    assert np.all(np.abs(least[answered]) < ASKED)
    for site in answered:
        code = cause_code(rigged.sites[site], int(found.cause[site]))
        assert code == ("clearance" if clear[site] < force[site] else code)
        assert (code == "clearance") == (clear[site] < force[site]) or abs(clear[site] - force[site]) < ASKED
    assert np.all(least[found.always] > -ASKED)
    assert np.all(found.value[found.always] == 4.5)
    assert np.all(clear[found.never] < ASKED)


def test_no_slower_water_fails_below_the_limit_speed(maker):
    rigged = maker.rigged(maker.drawn(26, 30))
    worlds = maker.worlds(rigged, 0.0)
    found = limit_speeds(maker, rigged, worlds)
    for share in (0.35, 0.6, 0.8, 0.93):
        speed = np.where(np.isnan(found.value), 0.0, share * found.value)
        least = np.minimum(*margins(maker, rigged, maker.worlds(rigged, speed)))
        assert np.all(least[~found.never] > -ASKED)


def test_outside_plan_in_still_water_has_no_limit_speed(maker):
    rigged = maker.rigged([maker.setup(60.0, 1.0)])
    assert limit_speeds(maker, rigged, maker.worlds(rigged, 0.0, least=600.0, most=700.0)).never[0]


def held_alone(worlds, clearance_m=0.6):
    return replace(
        worlds,
        drag_n=worlds.drag_n[:, 1:2],
        hauled=worlds.hauled[:, 1:2],
        clearance_m=np.full(worlds.site.size, clearance_m),
    )


def test_the_closest_boat_keeps_its_clearance_and_no_nearer_one_does(drawn, maker):
    rigged, worlds = drawn
    held = held_alone(worlds)
    (found,) = run_searches(rigged.table, rigged.ropes, [closest_boat_search(held)])
    answered = ~found.never & ~found.always
    assert answered.sum() > 10
    strand = np.where(np.isnan(found.value), 200.0, found.value)
    _, clear = margins(maker, rigged, replace(held, strand_m=strand))
    _, nearer = margins(maker, rigged, replace(held, strand_m=0.99 * strand))
    assert np.all(np.abs(clear[answered]) < ASKED)
    assert np.all(nearer[answered] < clear[answered])
    assert np.all(found.value[found.always] == NEAREST_M)
    assert np.all(clear[found.always] > -ASKED)


def test_the_envelope_finds_what_a_dense_grid_finds(drawn):
    rigged, worlds = drawn
    for asked, measure in (
        (pull_questions(worlds, rigged.ropes), tension),
        (hang_questions(worlds, rigged.ropes), line_clearance),
    ):
        each = asked.count // worlds.site.size
        ends = {"from_m": np.repeat(worlds.from_m, each), "to_m": np.repeat(worlds.to_m, each)}
        grid = grid_of(rigged.table, asked, count=13, measure=measure, **ends)
        found = measure(worst_of(grid, measure))[:, 0]
        fine = measure(grid_of(rigged.table, asked, count=401, **ends)).max(axis=1)
        scale = np.maximum(np.abs(fine), 0.5)
        assert np.all(found >= fine - 2e-4 * scale)
        assert np.quantile((fine - found) / scale, 0.95) < 1e-5
        alone = ~asked.whole
        assert np.all(found[alone] >= fine[alone] - 1e-5 * scale[alone])


def test_brackets_close_from_the_good_side():
    """Cubes, and a step that no value closes."""
    roots = np.array([0.1, 0.5, 0.9, 0.37])

    def margin(value, which):
        smooth = (roots[which] - value) + 3.0 * (roots[which] - value) ** 3
        return np.where(which == 3, np.where(value < roots[which], 0.2, -0.2), smooth)

    values = np.tile([0.0, 0.05, 1.0], (4, 1))
    brackets = Brackets(
        values, np.stack([margin(values[:, k], np.arange(4)) for k in range(3)], axis=1), 1e-6
    )
    turns = 0
    while (which := brackets.open()).size:
        at = brackets.next(which)
        brackets.take(which, at, margin(at, which))
        turns += 1
    assert turns < 40
    assert np.all(brackets.good <= roots)
    assert np.all(roots[:3] - brackets.good[:3] <= CLOSE)
    assert roots[3] - brackets.good[3] <= 1e-6


def test_anchors_with_several_lines_stand_their_vector_sum(maker):
    """Near ferry and up-down line tied to the near track anchor; against the track line's own end pulls."""
    from atlas.rigging.carriages import carriages_at  # noqa: PLC0415 -- only here
    from atlas.rigging.fixtures import anchor_pulls, stood  # noqa: PLC0415 -- only here

    tie = StationPoint(0.0, 0.0, 3.5)
    shared = maker.setup(
        ferry_near=tie, up_down=tie, ferry_near_on_tie=True, up_down_on_tie=True, up_down_on_ferry=True
    )
    apart = replace(shared, ferry_near_on_tie=False, up_down_on_tie=False, up_down_on_ferry=False)
    rigged = maker.rigged([shared, apart])
    asked = pull_questions(maker.worlds(rigged, 1.8), rigged.ropes)
    state = carriages_at(rigged.table, asked, [15.0, 25.0])
    together, single = (
        np.stack([getattr(anchor_pulls(state.part(np.flatnonzero(asked.site == k))), name) for name in names])
        for k, names in ((0, ["near_tie"]), (1, ["near_tie", "ferry_near", "up_down"]))
    )
    np.testing.assert_allclose(together[0], single.sum(axis=0), rtol=1e-9, atol=1e-6)
    forces = stood(state)
    for stand in (Stand.FERRY_NEAR_STATION, Stand.UP_DOWN_STATION):
        np.testing.assert_allclose(forces[stand][asked.site == 0], forces[Stand.NEAR_TIE][asked.site == 0])
