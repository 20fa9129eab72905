"""Who comes, by a general solver: the same problem as one mixed whole-number programme, level by level.

Written apart from the program: nothing of its tables, sets or order of search is used here.
"""

import random

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import lil_array

from atlas.cover import Comer, GearAsked, Job, LineNeed, pieces_of
from atlas.records import Agency, CrewCount, GearStock, RopeStock

GEAR = (
    GearAsked("pulley", 8, 22e3),
    GearAsked("carabiner", 24, 27e3),
    GearAsked("steel_ring", 2, 36e3, ("rigging_plate",)),
)


class Programme:
    """Columns, rows and one solution after the other, each level kept while the next is made least."""

    def __init__(self):
        self.columns, self.upper, self.whole, self.rows = [], [], [], []

    def column(self, upper=1.0, *, whole=True):
        self.columns.append(len(self.columns))
        self.upper.append(upper)
        self.whole.append(1 if whole else 0)
        return self.columns[-1]

    def row(self, terms, low, high):
        self.rows.append((terms, low, high))

    def least(self, terms):
        cost = np.zeros(len(self.columns))
        for column, value in terms.items():
            cost[column] = value
        matrix = lil_array((len(self.rows), len(self.columns)))
        for number, (row, _, _) in enumerate(self.rows):
            for column, value in row.items():
                matrix[number, column] = value
        found = milp(
            cost,
            constraints=LinearConstraint(
                matrix.tocsr(), [low for _, low, _ in self.rows], [high for _, _, high in self.rows]
            ),
            bounds=Bounds(np.zeros(len(self.columns)), self.upper),
            integrality=self.whole,
            options={"mip_rel_gap": 0.0},
        )
        assert found.success, found.message
        self.row(terms, -np.inf, found.fun + 1e-6)
        return found.fun


def _lines(prog, job, comers, called):
    """Columns of open lines, and of ropes taken with what they have over the need."""
    still_open, over, uses = {}, {}, {}
    for need in job.needs:
        made_of = {}
        for index, comer in enumerate(comers):
            for piece in pieces_of([comer.agency]):
                if need.rank(piece) is None or piece.length_m < need.needed_m:
                    continue
                taken = prog.column()
                made_of[taken] = 1.0
                over[taken] = piece.length_m - need.needed_m
                uses.setdefault((index, piece.name, piece.index), []).append(taken)
                prog.row({taken: 1.0, called[index]: -1.0}, -np.inf, 0.0)
        left = prog.column()
        still_open[left] = 1.0
        prog.row({**made_of, left: 1.0}, 1.0, 1.0)
    for columns in uses.values():
        prog.row(dict.fromkeys(columns, 1.0), 0.0, 1.0)
    return still_open, over


def _gear(prog, job, comers, called):
    """Columns of pieces short."""
    short, given = {}, {}
    for asked in job.gear:
        parts = {}
        for index, comer in enumerate(comers):
            for number, entry in enumerate(comer.agency.gear):
                if asked.serves(entry):
                    part = prog.column(float(entry.count))
                    parts[part] = 1.0
                    given.setdefault((index, number), []).append(part)
        lacking = prog.column(float(asked.count))
        short[lacking] = 1.0
        prog.row({**parts, lacking: 1.0}, float(asked.count), np.inf)
    for (index, number), columns in given.items():
        count = comers[index].agency.gear[number].count
        prog.row({**dict.fromkeys(columns, 1.0), called[index]: -float(count)}, -np.inf, 0.0)
    return short


def _people_and_minutes(prog, job, comers, called):
    """Columns of people short, and of the minutes of the last."""
    short = prog.column(float(job.people))
    people = {
        column: float(sum(crew.people for crew in comer.agency.crew))
        for column, comer in zip(called, comers, strict=True)
    }
    prog.row({**people, short: 1.0}, float(job.people), np.inf)
    latest = prog.column(np.inf, whole=False)
    for column, comer in zip(called, comers, strict=True):
        prog.row({latest: 1.0, column: -comer.minutes}, 0.0, np.inf)
    return {short: 1.0}, {latest: 1.0}


def optimum(job, comers):
    """Lines open, gear short, people short, agencies besides the first due, minutes, over-length [m]."""
    prog = Programme()
    called = [prog.column() for _ in comers]
    prog.row({called[0]: 1.0}, 1.0, 1.0)
    still_open, over = _lines(prog, job, comers, called)
    gear_short = _gear(prog, job, comers, called)
    people_short, latest = _people_and_minutes(prog, job, comers, called)
    others = dict.fromkeys(called[1:], 1.0)
    return tuple(prog.least(terms) for terms in (still_open, gear_short, people_short, others, latest, over))


def _rope(rng, number):
    return RopeStock(
        name=f"rope {number}",
        length_m=rng.choice([30.0, 45.0, 60.0, 61.0, 90.0, 100.0, 120.0, 150.0]),
        diameter_m=rng.choice([0.0125, 0.011, 0.007, 0.012]),
        kind=rng.choice(["static", "low_stretch", "floating", "floating"]),
        fibre="nylon",
        strength_n=rng.choice([5e3, 22e3, 30e3, 41e3]),
        elongation=0.04,
        elongation_basis="10pct",
        weight_n_m=1.0,
        count=1,
        since=None,
    )


def county(rng, agencies, ropes):
    """Agencies that can come, each with as many ropes; lean, so that three or four are needed."""
    return [
        Comer(
            Agency(
                code=f"A{number:02d}",
                name="an agency",
                station=None,
                minutes=(),
                crew=(CrewCount("technician", rng.randint(2, 9)),),
                radio=None,
                ropes=tuple(_rope(rng, rope) for rope in range(ropes // agencies)),
                gear=(
                    GearStock("pulley", rng.randint(0, 5), 30e3),
                    GearStock("carabiner", rng.randint(0, 20), 30e3),
                    GearStock("rigging_plate", 1, 40e3),
                ),
                boats=(),
                launchers=(),
            ),
            float(rng.randint(5, 60)),
        )
        for number in range(agencies)
    ]


def job(rng):
    """The five lines of a movable control point on a span of 30 to 70 m, its gear and people."""
    span_m = rng.uniform(30.0, 70.0)
    ferry = {"kinds": ("low_stretch", "floating"), "strength_min_n": 20e3, "diameter_min_m": 0.011}
    needs = (
        LineNeed(
            line="track", needed_m=span_m * 1.5, kinds=("static",), strength_min_n=40e3,
            diameter_min_m=0.0125, diameter_max_m=0.0135,
        ),
        LineNeed(line="ferry-near", needed_m=span_m * 1.3, **ferry),
        LineNeed(line="ferry-far", needed_m=span_m * 1.35, **ferry),
        LineNeed(
            line="up-down", needed_m=span_m * 2.0, kinds=("floating", "static"), strength_min_n=20e3,
            diameter_min_m=0.011,
        ),
        LineNeed(
            line="messenger", needed_m=span_m * 2.1, kinds=("floating",), strength_min_n=4.5e3,
            diameter_min_m=0.006, diameter_max_m=0.0085,
        ),
    )  # fmt: skip
    return Job(needs=needs, gear=GEAR, people=18)


def cases(agencies, ropes, count, seed=1):
    """Counties and jobs."""
    rng = random.Random(seed)  # noqa: S311 -- draws cases
    return [(job(rng), county(rng, agencies, ropes)) for _ in range(count)]
