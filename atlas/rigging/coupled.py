"""The carriage and all that hangs on it, line and load closed in one Newton iteration.

`balance` closes the geometry of a line under a given load. Here the load is what hangs where the line
holds the carriage (`pulls`), so two unknowns and two equations come to the line's three:

    C(u, q) = 0          the two parts of the rope end at the tie points, u = (tension, lift, length)
    F(p, A) - q = 0      the load q (downstream, down) is what pulls at the place p = (y, d) the line
                         holds the carriage at, with the force A along it

and p and A are read off (u, q). Newton's step on all five is the line's own step together with its
answers to a newton more downstream and down (the Schur complement of the line's three).

Columns of arrays here, in their first axis: the line's own step, one newton downstream, one down.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from atlas.rigging.balance import Batch, Closure, Tangent, Trial, close, tangent
from atlas.rigging.catenary import PieceSlopes
from atlas.rigging.pulls import Hung, Pulls, pull_slopes, pulls_at
from atlas.rigging.shown import FloatArray

__all__ = ["Held", "Joint", "held", "joint", "moved"]


@dataclass(frozen=True, slots=True, eq=False)
class Held:
    """A trial of the line under a load, and what then hangs on it.

    Attributes
    ----------
    closure : of the line
    place : y and d of the carriage [m]
    across : the horizontal parts of both ends' pull along x [N]
    along : A [N]
    pulls : what pulls there
    gap : what pulls there less the load [N]
    """

    batch: Batch
    trial: Trial
    closure: Closure
    place: FloatArray
    across: FloatArray
    along: FloatArray
    pulls: Pulls
    gap: FloatArray


def held(batch: Batch, hung: Hung, trial: Trial) -> Held:
    """Follow the line, and take what hangs where it leads."""
    closure = close(batch, trial)
    place = np.empty((2, batch.count))
    place[0] = closure.bow
    place[1] = closure.rises[0]
    across = batch.runs / closure.ends.run_a_newton
    along = across[0] - across[1]
    pulls = pulls_at(hung, place=place, along=along)
    gap = pulls.load.copy()
    gap[0] -= batch.downstream
    gap[1] -= batch.down
    return Held(batch, trial, closure, place, across, along, pulls, gap)


def _gaps_by_load(at: Held, line: Tangent) -> tuple[FloatArray, FloatArray]:
    """Derivatives of the closure's gaps with the load: run gaps (part, direction, batch), rise gap."""
    closure, slopes = at.closure, line.slopes
    others = closure.shares[::-1]
    change = at.batch.downstream * closure.bow * (others * others) * slopes.run_with_lift
    runs = np.empty((2, 2, at.batch.count))
    runs[:, 0] = -closure.bow * closure.ends.run_a_newton[0] * closure.shares[1]
    runs[0, 1] = -change[1]
    # the far part's lift is the load down less the near part's
    runs[1, 1] = -line.by_lift[1] - change[0]
    rise = np.zeros((2, at.batch.count))
    rise[1] = closure.lengths[1] * slopes.run_with_length[1]
    return runs, rise


@dataclass(frozen=True, slots=True, eq=False)
class _Reading:
    """How place and force along follow the line's unknowns, the carriage's load held; rows y, d, A."""

    by_tension: FloatArray
    by_lift: FloatArray
    by_length: FloatArray
    by_downstream: FloatArray
    by_down: FloatArray

    def follow(self, step: Trial) -> FloatArray:
        """Changes of y, d and A with those of the line; steps may be columns (column, batch)."""
        moved = np.empty((3, *step.tension.shape))
        for row in range(3):
            moved[row] = self.by_tension[row] * step.tension
            moved[row] += self.by_lift[row] * step.lift
            moved[row] += self.by_length[row] * step.length
        return moved


def _reading(at: Held, slopes: PieceSlopes) -> _Reading:
    closure, lengths = at.closure, at.closure.lengths
    slack, others = closure.ends.run_a_newton, closure.shares[::-1]
    # by the runs a newton of both parts: rows y and A, part, batch
    by_slack = np.empty((2, 2, at.batch.count))
    by_slack[0] = at.batch.downstream * (others * others)
    by_slack[1] = at.across / slack
    by_slack[1, 0] *= -1.0
    turned = by_slack * slopes.run_with_lift
    stretched = by_slack * slopes.run_with_length
    tightened = by_slack * slopes.run_less_with_tension
    by_tension, by_lift, by_length = (np.empty((3, at.batch.count)) for _ in range(3))
    by_tension[::2] = -(tightened[:, 0] + tightened[:, 1])
    by_lift[::2] = turned[:, 0] - turned[:, 1]
    by_length[::2] = stretched[:, 0] - stretched[:, 1]
    by_tension[1] = -slopes.rise_less_with_tension[0]
    by_lift[1] = lengths[0] * slopes.run_with_length[0]
    by_length[1] = closure.ends.end_lift[0] * slopes.run_with_length[0]
    by_downstream, by_down = np.zeros((3, at.batch.count)), np.zeros((3, at.batch.count))
    by_downstream[0] = slack[0] * closure.shares[1]
    by_down[::2] = turned[:, 1]
    return _Reading(by_tension, by_lift, by_length, by_downstream, by_down)


@dataclass(frozen=True, slots=True, eq=False)
class Joint:
    """Newton's step of line and load together, ready to be taken from a trial.

    Attributes
    ----------
    line : the line's own tangent
    reading : place and force along by the line's unknowns
    by_place, by_along : of what pulls
    answer : changes of the line's unknowns for a newton more of load, downstream and down
    inverse : of the load's two equations, shape (2, 2, batch)
    """

    line: Tangent
    reading: _Reading
    by_place: FloatArray
    by_along: FloatArray
    answer: Trial
    inverse: FloatArray

    def pulled(self, moved: FloatArray) -> FloatArray:
        """Changes of what pulls with those of y, d and A; axes (direction, ..., batch)."""
        pulled = np.empty((2, *moved.shape[1:]))
        for row in range(2):
            pulled[row] = self.by_place[row, 0] * moved[0]
            pulled[row] += self.by_place[row, 1] * moved[1]
            pulled[row] += self.by_along[row] * moved[2]
        return pulled

    def step(self, at: Held) -> tuple[Trial, FloatArray]:
        """Changes of the line's unknowns and of the load that close all gaps, as far as it is true."""
        own = self.line.step(at.closure)
        gap = at.gap + self.pulled(self.reading.follow(own))
        load = self.inverse[:, 0] * gap[0] + self.inverse[:, 1] * gap[1]
        answer = self.answer
        return Trial(
            own.tension + answer.tension[0] * load[0] + answer.tension[1] * load[1],
            own.lift + answer.lift[0] * load[0] + answer.lift[1] * load[1],
            own.length + answer.length[0] * load[0] + answer.length[1] * load[1],
        ), load


def joint(at: Held, hung: Hung) -> Joint:
    """Derivatives of line and load at a trial."""
    line = tangent(at.batch, at.trial, at.closure)
    reading = _reading(at, line.slopes)
    by_place, by_along = pull_slopes(hung, at.pulls, place=at.place)
    answer = line.closing(*_gaps_by_load(at, line))
    moved = reading.follow(answer)
    moved[:, 0] += reading.by_downstream
    moved[:, 1] += reading.by_down
    made = Joint(line, reading, by_place, by_along, answer, moved)
    pulled = made.pulled(moved)
    rest = np.empty_like(pulled)
    determinant = (1.0 - pulled[0, 0]) * (1.0 - pulled[1, 1]) - pulled[0, 1] * pulled[1, 0]
    rest[0, 0], rest[1, 1] = 1.0 - pulled[1, 1], 1.0 - pulled[0, 0]
    rest[0, 1], rest[1, 0] = pulled[0, 1], pulled[1, 0]
    return replace(made, inverse=rest / determinant)


def moved(at: Held, hung: Hung, step: tuple[Trial, FloatArray]) -> Held:
    """The trial after a step."""
    trial, load = step
    batch = at.batch.loaded(at.batch.downstream + load[0], at.batch.down + load[1])
    return held(batch, hung, at.trial.moved(trial))
