"""500 random sites turned round, each answer put back into the forward model.

Put back on a grid more than twice as fine as the searches use, folds and worst place refined: the governing
constraint is met within 0.1 %, no other is broken, and the cause is the one that is met.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
import pytest

from atlas.rigging import Rope, TrackLine
from atlas.rigging.fixtures import Stand
from atlas.rigging.limit_bow import BOW_SHARES, limit_bow_search, limit_bows
from atlas.rigging.limit_speed import limit_speed_search, limit_stage_search
from atlas.rigging.limits import ForceLimit
from atlas.rigging.panels import run_in_step
from atlas.rigging.rigged import Rigged, RopeBounds, Site
from atlas.rigging.rising import RisingSites, RisingWater, way_of
from atlas.rigging.search import Found, Searching
from atlas.rigging.shores import Shores
from atlas.rigging.shown import PRETENSION_N
from atlas.rigging.ties import tie_raise_search
from atlas.rigging.window import set_tension_searches, window_ends
from atlas.rigging.window_close import RULE, Closed, ClosingWindow
from atlas.rigging.worlds import CLEARANCE, Worlds

SITES = 500
ASKED = 1e-3
PLACES = 21
RAISE_M = 4.0
EVERY = np.arange(SITES)


def limits_of(random):
    """Ropes, devices and anchors of which now one, now another is the weakest."""
    limits = [
        ForceLimit("factor", "rope", random.uniform(20e3, 36e3), 5.0),
        ForceLimit("factor", "carriage_pulley", random.uniform(12e3, 50e3), 5.0, Stand.RESULTANT),
        ForceLimit("anchor_track", "N1", random.uniform(18e3, 70e3), 4.0, Stand.NEAR_TIE),
        ForceLimit("anchor_track", "F1", random.uniform(18e3, 70e3), 4.0, Stand.FAR_TIE),
        ForceLimit("factor_line", "ferry-far", random.uniform(15e3, 40e3), 7.0, Stand.FERRY_FAR),
        ForceLimit("anchor_station", "F2", random.uniform(9e3, 40e3), 4.0, Stand.FERRY_FAR_STATION),
    ]
    if random.random() < 0.6:
        limits.append(ForceLimit("capture", "device", random.choice([5e3, 11e3]), 1.0))
    return tuple(limits)


def rigged_sites(maker, random):
    sites = []
    for setup in maker.drawn(41, SITES):
        low = random.uniform(25e3, 120e3)
        bounds = RopeBounds(low * 1.33, low, low * 1.77, random.uniform(0.0, 0.3))
        rules = (("pretension_rule", random.choice([2664.0, 3996.0])), ("pretension_strength", 4000.0))
        sites.append(Site(setup, bounds, limits_of(random), rules))
    return Rigged.of(sites)


def waters(random, planning_m_s):
    """Two notes and a model over the higher one that sets in up to 40 % faster, then goes on rising."""
    seen_m = random.uniform(0.3, 1.0, SITES)
    above = seen_m[:, np.newaxis] + 2.5 * np.linspace(0.0, 1.0, 12)
    faster = random.choice([1.0, 1.15, 1.4], SITES)[:, np.newaxis] * (1.0 + 0.4 * (above - above[:, :1]))
    rise = np.column_stack([np.zeros(SITES), seen_m, above])
    speed = planning_m_s[:, np.newaxis] * np.column_stack([np.full(SITES, 0.7), np.ones(SITES), faster])
    width = np.column_stack([np.full(SITES, 0.7), np.full(SITES, 0.78), 0.78 + 0.05 * (above - above[:, :1])])
    way = np.stack([way_of(*each) for each in zip(rise, speed, strict=True)])
    return seen_m, RisingWater(way, rise, speed, np.minimum(width, 0.9))


@dataclass(frozen=True)
class Turned:
    """What everything came to."""

    rigged: Rigged
    worlds: Worlds
    rising: RisingSites
    cases: object
    set_n: tuple
    ends: list
    upper: Found
    lower: Found
    speed: Found
    stage: Found
    ties: Found
    bows: Found
    closed: Closed
    opened: Closed
    by_water: Callable
    by_ties: Callable


@pytest.fixture(scope="module")
def turned(maker):
    random = np.random.default_rng(42)
    rigged = rigged_sites(maker, random)
    planning_m_s = random.uniform(0.8, 2.3, SITES)
    seen_m, water = waters(random, planning_m_s)
    least_n = random.uniform(500, 2500, SITES)
    most_n = least_n * random.uniform(1.1, 1.6, SITES)
    worlds = maker.worlds(rigged, planning_m_s, rise=seen_m, least=least_n, most=most_n)
    span = np.array([site.setup.span_m for site in rigged.sites])
    water = replace(water, width_m=water.width_m * span[:, np.newaxis])
    near = span * random.uniform(0.06, 0.2, SITES)
    shores = Shores(near, near + 0.7 * span, 0.7 * span, span, worlds.from_m, worlds.to_m)
    cases = maker.cases(SITES)
    rising = RisingSites(cases, water, shores, worlds.tended)
    from_m, to_m = shores.travel(EVERY, water.width_m[:, 1])
    worlds = replace(worlds, from_m=from_m, to_m=to_m)
    searches = (
        *set_tension_searches(rigged, worlds),
        limit_speed_search(rigged, cases, worlds, speed_most_m_s=np.full(SITES, 4.0)),
        limit_stage_search(
            rigged,
            rising,
            ways_m=np.column_stack([np.zeros(SITES), water.way_m[:, [1, 2, 5, 13]]]),
            set_least_n=least_n,
            set_most_n=most_n,
        ),
        tie_raise_search(rigged, worlds, most_m=np.full(SITES, RAISE_M)),
        limit_bow_search(rigged, worlds, drag_most_n=9e3),
    )

    def by_water(which, way_m, set_n):
        return rising.worlds(which, way_m=way_m, set_least_n=set_n, set_most_n=set_n)

    def by_ties(which, lowered_m, set_n):
        return replace(worlds.part(some[which]), raised_m=-lowered_m, set_least_n=set_n, set_most_n=set_n)

    start_n = np.minimum(np.sqrt(600.0 * rigged.rule_most_n), rigged.rule_most_n)
    some = EVERY[::3]
    closing = ClosingWindow(
        rigged,
        by_water,
        start_m=water.way_m[:, 1].copy(),
        start_n=start_n,
        between_m=(np.zeros(SITES), water.way_m[:, -1]),
    )
    opening = ClosingWindow(
        rigged,
        by_ties,
        start_m=np.full(some.size, -1.0),
        start_n=start_n[some],
        between_m=(np.full(some.size, -RAISE_M), np.full(some.size, 2.0)),
        sites=some,
    )
    running = [Searching(search, rigged.ropes) for search in searches]
    run_in_step(rigged.table, [*running, closing, opening])
    found = [one.found() for one in running]
    ends = window_ends(rigged, found[0], found[1])
    answers = (*found, closing.closed(), opening.closed(), by_water, by_ties)
    return Turned(rigged, worlds, rising, cases, (least_n, most_n), ends, *answers)


def put_back(maker, turned, worlds, most_n=None):
    force, stand = maker.force_margins(turned.rigged, worlds, most_n, places=PLACES)
    return force, stand, maker.clear_margins(turned.rigged, worlds, places=PLACES)


def meets(found, force, stand, clear):
    """Each answered site is at its limit and past none, by the cause it names; how many there are of each."""
    answered = ~found.never & ~found.always
    least = np.minimum(force, clear)
    assert np.all(np.abs(least[answered]) <= ASKED)
    assert np.all(least[found.always] >= -ASKED)
    by_clearance = found.cause == CLEARANCE
    assert np.all(clear[answered & by_clearance] <= ASKED)
    by_force = answered & ~by_clearance
    assert np.all(force[by_force] <= ASKED)
    # of two limits that are met together either may be named
    same = stand == found.cause
    margins = np.abs(force[by_force & ~same])
    assert np.all(margins <= ASKED)
    assert np.count_nonzero(by_force & ~same) <= 0.02 * max(np.count_nonzero(by_force), 50)
    return np.count_nonzero(answered & by_clearance), np.count_nonzero(by_force)


def test_limit_speeds(turned, maker):
    least_n, most_n = turned.set_n
    worlds = turned.cases.worlds(
        EVERY,
        speed_m_s=np.nan_to_num(turned.speed.value),
        water_rise_m=turned.worlds.water_rise_m,
        set_least_n=least_n,
        set_most_n=most_n,
        from_m=turned.worlds.from_m,
        to_m=turned.worlds.to_m,
        tended=turned.worlds.tended,
    )
    force, stand, clear = put_back(maker, turned, worlds)
    by_clearance, by_force = meets(turned.speed, force, stand, clear)
    assert by_clearance > 40
    assert by_force > 100
    assert np.all(np.minimum(force, clear)[turned.speed.never] < ASKED)


def test_limit_stages(turned, maker):
    least_n, most_n = turned.set_n
    worlds = turned.rising.worlds(
        EVERY, way_m=np.nan_to_num(turned.stage.value), set_least_n=least_n, set_most_n=most_n
    )
    force, stand, clear = put_back(maker, turned, worlds)
    by_clearance, by_force = meets(turned.stage, force, stand, clear)
    assert by_clearance > 50
    assert by_force > 50
    # some are met while the water stands, where the model's margin sets in
    water = turned.rising.water
    answered = ~turned.stage.never & ~turned.stage.always
    stood = (turned.stage.value > water.way_m[:, 1]) & (turned.stage.value < water.way_m[:, 2]) & answered
    assert np.count_nonzero(stood) > 20
    np.testing.assert_allclose(worlds.water_rise_m[stood], water.rise_m[stood, 1], atol=1e-12)


def test_windows(turned, maker):
    rigged, upper, lower = turned.rigged, turned.upper, turned.lower
    high, low = (np.where(np.isnan(found.value), 300.0, found.value) for found in (upper, lower))
    worlds = replace(turned.worlds, set_most_n=high, set_least_n=low)
    force, stand, clear = put_back(maker, turned, worlds, rigged.track_most_n)
    assert meets(upper, force, stand, np.full(SITES, np.inf))[1] > 100
    assert meets(lower, np.full(SITES, np.inf), stand, clear)[0] > 100
    assert np.all(force[upper.never] < ASKED)
    for site, ends in enumerate(turned.ends):
        assert (ends.governed_by in ("pretension_rule", "pretension_strength")) == bool(upper.always[site])
        if ends.is_open:
            assert force[site] >= -ASKED
            assert clear[site] >= -ASKED
            assert ends.high_n <= rigged.rule_most_n[site]


def test_tie_heights(turned, maker):
    found = turned.ties
    raised = np.nan_to_num(found.value)
    clear = maker.clear_margins(turned.rigged, replace(turned.worlds, raised_m=raised), places=PLACES)
    answered = ~found.never & ~found.always
    assert np.count_nonzero(answered) > 0.8 * SITES
    # within a millimetre
    over_m = clear * turned.worlds.clearance_m
    assert np.all(np.abs(over_m[answered]) <= 1e-3)
    lower = replace(turned.worlds, raised_m=raised - 0.01)
    assert np.all(maker.clear_margins(turned.rigged, lower, places=PLACES)[answered] < 0.0)


def test_limit_bows(turned):
    """By the track line itself: its bow, and the tension of the limit, or less where another limit is met."""
    limits = limit_bows(turned.rigged, turned.worlds, turned.bows)
    assert limits.of.size > SITES
    state = limits.state
    table = zip(
        limits.of, limits.cause, state.at_m[:, 0], state.downstream_n[:, 0], state.down_n[:, 0],
        state.tension_n[:, 0], state.bow_m[:, 0], strict=True,
    )  # fmt: skip
    named = set()
    for number, (of, cause, at_m, downstream_n, down_n, tension_n, bow_m) in enumerate(table):
        site = turned.rigged.sites[of // len(BOW_SHARES)]
        setup, stiff = site.setup, site.bounds.high_n
        assert at_m == pytest.approx(BOW_SHARES[of % len(BOW_SHARES)] * setup.span_m)
        limit_n = min(limit.most_n for limit in site.limits if limit.stands is Stand.TENSION)
        assert tension_n <= limit_n * (1.0 + ASKED)
        if cause == Stand.TENSION:
            assert tension_n == pytest.approx(limit_n, rel=ASKED)
        named.add(Stand(cause))
        if number % 25 == 0:
            rope = Rope(strength_n=40e3, weight_n_m=setup.weight_n_m, stiffness_n=stiff)
            line = TrackLine(
                span_m=setup.span_m,
                rise_m=setup.rise_m,
                rope=rope,
                pretension_n=turned.set_n[1][of // len(BOW_SHARES)],
            )
            again = line.loaded(at_m=at_m, downstream_n=downstream_n, down_n=down_n)
            assert again.tension_n == pytest.approx(tension_n, rel=1e-6)
            assert again.downstream_m == pytest.approx(bow_m, abs=1e-6)
    assert named >= {Stand.TENSION, Stand.RESULTANT, Stand.NEAR_TIE, Stand.FAR_TIE}


def window_at(maker, turned, world_of, closed):
    """Both margins where a window closes, none broken; past it no set tension will do."""
    answered = np.flatnonzero(np.isfinite(closed.at_m))
    at_m, set_n, cause = closed.at_m[answered], closed.set_n[answered], closed.cause[answered]
    worlds = world_of(answered, at_m, set_n)
    rule_n, most_n = turned.rigged.rule_most_n[worlds.site], turned.rigged.track_most_n

    force, stand = maker.force_margins(turned.rigged, worlds, most_n, places=PLACES)
    clear = maker.clear_margins(turned.rigged, worlds, places=PLACES)
    assert np.all(force >= -ASKED)
    assert np.all(clear >= -ASKED)
    by_rule = cause == RULE
    # a limit that no set tension eases closes the window alone; so does the least set tension looked at
    alone = ~by_rule & (clear > ASKED)
    assert np.all(clear[~alone] <= ASKED)
    # so does a ferry line that hangs too low
    low = cause == CLEARANCE
    assert np.all(force[~by_rule & ~low] <= ASKED)
    assert np.all(force[low] > ASKED)
    assert np.all((set_n <= rule_n) & (set_n >= np.where(by_rule, rule_n * (1.0 - ASKED), 0.0)))
    some = slice(None, None, 5)
    for share in (0.9, 1.0, 1.1):
        past = np.clip(share * set_n, PRETENSION_N.low, rule_n)[some]
        worlds = world_of(answered[some], at_m[some] + 0.01, past)
        force_past, _ = maker.force_margins(turned.rigged, worlds, most_n, places=PLACES)
        clear_past = maker.clear_margins(turned.rigged, worlds, places=PLACES)
        assert np.all(np.minimum(force_past, clear_past) < 0.0)
    other = ~by_rule & ~low & (stand != cause)
    assert np.count_nonzero(other) <= 0.03 * answered.size
    return answered, by_rule


def test_water_that_empties_the_window(turned, maker):
    answered, by_rule = window_at(maker, turned, turned.by_water, turned.closed)
    assert np.count_nonzero(by_rule) > 20
    assert np.count_nonzero(~by_rule) > 100
    left = np.setdiff1d(EVERY, answered)
    assert left.size < 0.1 * SITES
    # where none empties it, it is open to the last place, if it is open at all
    never = left[[turned.ends[site].is_open for site in left]]
    share = np.linspace(0.0, 1.0, 25)[:, np.newaxis]
    set_n = PRETENSION_N.low + share * (turned.rigged.rule_most_n[never] - PRETENSION_N.low)
    last_m = np.tile(turned.rising.water.way_m[never, -1], (share.size, 1))
    worlds = turned.by_water(np.tile(never, share.size), last_m.ravel(), set_n.ravel())
    force, _ = maker.force_margins(turned.rigged, worlds, turned.rigged.track_most_n, places=PLACES)
    least = np.minimum(force, maker.clear_margins(turned.rigged, worlds, places=PLACES))
    assert np.all(least.reshape(set_n.shape).max(axis=0) > -0.01)


def test_ties_that_open_an_empty_window(turned, maker):
    answered, _ = window_at(maker, turned, turned.by_ties, turned.opened)
    assert answered.size > 60
    is_open = np.array([ends.is_open for ends in turned.ends])[::3]
    assert np.all((turned.opened.at_m[answered] >= -1e-4) == is_open[answered])
