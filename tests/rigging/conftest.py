"""Sites to rig, made by hand and drawn at random."""

from dataclasses import dataclass, replace

import numpy as np
import pytest

from atlas.rigging.asked import Asked
from atlas.rigging.clearance import spare_m
from atlas.rigging.envelope import grid_of, worst_of
from atlas.rigging.ferry import StationPoint
from atlas.rigging.leverage import leverage_range
from atlas.rigging.limits import ForceLimit
from atlas.rigging.rigged import Rigged, RopeBounds, Site
from atlas.rigging.setups import CarriageSetup
from atlas.rigging.water_cases import WaterCases
from atlas.rigging.worlds import force_margin, hang_questions, pull_questions

BOUNDS = RopeBounds(stiffness_n=100e3, low_n=75e3, high_n=133e3, seating_m=0.15)
LIMITS = (ForceLimit("factor", "rope", 34e3, 5.0), ForceLimit("capture", "device", 11e3, 1.0))
RULES = (("pretension_rule", 3996.0), ("pretension_strength", 4000.0))
# empty, held, swamped: 1/2 rho CdA and the surge, at 1 m/s
PER_SPEED2 = np.array([0.0, 0.5 * 1000.0 * 0.30 * 1.5, 0.5 * 1000.0 * 0.831 * 1.25])


def setup_of(span_m=42.0, height_m=3.5, **changes):
    rise = changes.get("rise_m", 0.0)
    values = {
        "span_m": span_m,
        "rise_m": rise,
        "near_tie_height_m": height_m,
        "reach_m": 15.0,
        "weight_n_m": 1.02,
        "carriage_weight_n": 120.0,
        "ring_below_line_m": 0.3,
        "bow_ring_m": 0.3,
        "strand_least_m": 3.0,
        "ferry_near": StationPoint(-1.0, -8.0, height_m),
        "ferry_far": StationPoint(span_m + 1.0, -8.0, height_m + rise),
        "up_down": StationPoint(-1.0, 8.0, height_m),
        "skew_deg": 0.0,
        "bow_strands": 2,
        "pulley_efficiency": 0.8,
        "ferry_weight_n_m": 0.8,
    }
    return CarriageSetup(**(values | changes))


def drawn(random, count):
    """Sites such as a county has; stations up to 15 m from their tie point, flow up to 25 degrees askew."""
    found = []
    for _ in range(count):
        span, height = np.exp(random.uniform(np.log(15), np.log(90))), random.uniform(2.3, 6.0)
        rise, skew = span * random.uniform(-0.05, 0.05), random.uniform(-25, 25)
        up, down = min(8.0, span / 4) * random.uniform(0.7, 1.6), random.uniform(5, 12)
        sine, cosine = np.sin(np.radians(skew)), np.cos(np.radians(skew))
        back = random.uniform(0.0, 4.0, 3)
        found.append(
            setup_of(
                span,
                height,
                rise_m=rise,
                reach_m=random.uniform(6, 30),
                weight_n_m=random.uniform(0.7, 1.2),
                skew_deg=skew,
                bow_strands=int(random.integers(1, 4)),
                pulley_efficiency=random.uniform(0.7, 0.95),
                ferry_near=StationPoint(
                    -up * sine - back[0], -up * cosine, height * random.uniform(0.8, 1.3)
                ),
                ferry_far=StationPoint(
                    span - up * sine + back[1], -up * cosine, (height + rise) * random.uniform(0.8, 1.3)
                ),
                up_down=StationPoint(down * sine - back[2], down * cosine, height * random.uniform(0.8, 1.3)),
            )
        )
    return found


def least_margin(rigged, worlds, asked, margin, *, places):
    """Least margin of each world over its questions, on a fine grid and refined, and its question."""
    each = asked.count // worlds.site.size
    grid = grid_of(
        rigged.table,
        asked,
        from_m=np.repeat(worlds.from_m, each),
        to_m=np.repeat(worlds.to_m, each),
        count=places,
        measure=lambda state: -margin(state),
    )
    worst = worst_of(grid, lambda state: -margin(state))
    values = margin(worst)[:, 0].reshape(worlds.site.size, -1)
    first = np.argmin(values, axis=1)
    return values.min(axis=1), worst.part(np.arange(worlds.site.size) * each + first)


def clear_margin(state):
    return spare_m(state) / state.asked.clearance_m[:, np.newaxis]


@dataclass(frozen=True)
class Maker:
    """Makes sites and what is asked of them."""

    bounds = BOUNDS
    limits = LIMITS
    rules = RULES
    per_speed2 = PER_SPEED2

    def setup(self, *args, **changes):
        return setup_of(*args, **changes)

    def drawn(self, seed, count):
        return drawn(np.random.default_rng(seed), count)

    def rigged(self, setups, *, limits=LIMITS, bounds=BOUNDS, rules=RULES):
        return Rigged.of([Site(setup, bounds, limits, rules) for setup in setups])

    def cases(self, sites):
        return WaterCases(
            np.tile(PER_SPEED2, (sites, 1)), np.zeros((sites, 3), dtype=bool), np.full(sites, 0.9), 9e3
        )

    def worlds(self, rigged, speed, *, rise=0.0, least=1500.0, most=2000.0, **more):
        """A world for each site at its speed, where 1.8 m/s leave both ferry lines half their pull."""
        span = np.array([site.setup.span_m for site in rigged.sites])
        cases = self.cases(span.size)
        bowed = Asked.of(
            site=np.arange(span.size),
            whole=False,
            drag_n=PER_SPEED2[2] * 1.8**2,
            water_rise_m=0.0,
            clearance_m=0.0,
            set_n=1500.0,
            stiffness_n=rigged.ropes.low_n,
            seating_m=0.15,
        )
        from_m, to_m = leverage_range(rigged.table, bowed, least=np.full(span.size, 0.5))
        worlds = cases.worlds(
            np.arange(span.size),
            speed_m_s=speed,
            water_rise_m=rise,
            set_least_n=least,
            set_most_n=most,
            from_m=np.where(from_m < to_m, from_m, 0.4 * span),
            to_m=np.where(from_m < to_m, to_m, 0.6 * span),
            tended=from_m < to_m,
        )
        return replace(worlds, **more) if more else worlds

    def force_margins(self, rigged, worlds, most_n=None, *, places=101):
        """Least of limit / force - 1 of each world, and which of `Stand` it is."""
        most_n = rigged.most_n if most_n is None else most_n
        asked = pull_questions(worlds, rigged.ropes)
        least, worst = least_margin(
            rigged, worlds, asked, lambda state: force_margin(state, most_n)[0], places=places
        )
        return least, force_margin(worst, most_n)[1][:, 0]

    def clear_margins(self, rigged, worlds, *, places=101):
        """Least of clearance / needed - 1 of each world."""
        asked = hang_questions(worlds, rigged.ropes)
        return least_margin(rigged, worlds, asked, clear_margin, places=places)[0]


@pytest.fixture(scope="session")
def maker():
    return Maker()
