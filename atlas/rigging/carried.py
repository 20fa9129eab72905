"""States of carriages with all that hangs on them: quick on all, careful on the few it leaves, each verified.

A state is done when its line closes as `settle` asks and what pulls at the carriage is its load within
1e-10 of weight and drag.
"""

from __future__ import annotations

from enum import IntEnum

import numpy as np

from atlas.faults import NoSolution
from atlas.rigging.balance import Batch, Trial, miss
from atlas.rigging.coupled import Held, Joint, held, joint, moved
from atlas.rigging.pulls import Hung, pulls_at
from atlas.rigging.settle import CLOSED, Row, settle
from atlas.rigging.shown import LOAD_N, FloatArray
from atlas.rigging.starts import lumped_place, quick_start

__all__ = ["CarriedRow", "carry"]


class CarriedRow(IntEnum):
    """Rows of a solved batch; forces [N], lengths [m].

    DROP is the depth under the near tie point, ALONG as `TrackState.along_n`, DOWNSTREAM and DOWN the load
    on the track line, STRAND the pull of all strands, FERRY_NEAR and FERRY_FAR with the carriage's friction
    (0 with drag alone), three the pull on the near tie point as in `EndPull`, LEFT the part of ALONG that
    the least tensions of the ferry lines leave: the far one gives it where it is positive. HELD_NEAR and
    HELD_FAR are the ferry lines' tensions without friction, which hold the carriage there.
    """

    TENSION = 0
    BOW = 1
    DROP = 2
    ALONG = 3
    DOWNSTREAM = 4
    DOWN = 5
    STRAND = 6
    FERRY_NEAR = 7
    FERRY_FAR = 8
    NEAR_ALONG = 9
    NEAR_DOWNSTREAM = 10
    NEAR_UP = 11
    LEFT = 12
    HELD_NEAR = 13
    HELD_FAR = 14


_BALANCED = 1e-10
_START_ROUNDS = 2
_QUICK_STEPS, _MORE_STEPS = 2, 3
_DAMPED_STEPS = (0.5, 0.5, 0.5, 0.5, 1.0, 1.0, 1.0, 1.0, 1.0)
_SAME_TANGENT = 2
"""Steps taken on after the last by its tangent; each costs half of one with its own."""
_BOUNDED_STEPS, _LOAD_SHARE = 12, 0.5
_CAREFUL_STEPS = 400
_STRIDE_LEAST = 2.0**-5
_FOLLOWING, _FOLLOWED, _FOLLOWED_LEAST = 40, 0.1, 0.01


def _first_load(batch: Batch, hung: Hung) -> FloatArray:
    """Load before anything is known of where the carriage hangs: as if a little under the chord."""
    chord = batch.rise * batch.at / batch.span
    ring = hung.ring_drop + 0.02 * batch.span - chord
    length = np.maximum(hung.reach - 0.08 * batch.span, hung.strand_least)
    load = np.empty((2, batch.count))
    load[0] = hung.drag * hung.downstream
    load[1] = hung.weight + hung.drag * np.maximum(hung.bow_ring - ring, 0.0) / length
    return load


def _start(batch: Batch, hung: Hung) -> Held:
    """Loads at the places of a lumped rope: there lines and strands push back, the more the line gives."""
    load = _first_load(batch, hung)
    for _ in range(_START_ROUNDS):
        give, place, along = lumped_place(batch.loaded(load[0], load[1]))
        pulls = pulls_at(hung, place=place, along=along)
        push = hung.drag / pulls.strand_length
        if pulls.tended is not None:
            push += pulls.tended.density[0] + pulls.tended.density[1] + pulls.tended.density[2]
        load[0] += pulls.load[0] - load[0]
        load[1] += (pulls.load[1] - load[1]) / (1.0 + push * give)
    batch = batch.loaded(load[0], load[1])
    return held(batch, hung, quick_start(batch))


def _open(at: Held, hung: Hung) -> FloatArray:
    """How far a trial is from done: 1 is done; infinite where it is no rope."""
    off = np.maximum(np.abs(at.gap[0]), np.abs(at.gap[1])) / (_BALANCED * (hung.weight + hung.drag))
    worst: FloatArray = np.maximum(miss(at.batch, at.closure) / CLOSED, off)
    return np.where(np.isfinite(worst), worst, np.inf)


def _anew(batch: Batch, hung: Hung) -> Held:
    """From the start, by halved steps: they keep a line that goes slack and taut from running off."""
    at = _start(batch, hung)
    for share in _DAMPED_STEPS:
        trial, load = joint(at, hung).step(at)
        cut = Trial(share * trial.tension, share * trial.lift, share * trial.length)
        at = moved(at, hung, (cut, share * load))
    return at


def _newton(at: Held, hung: Hung, steps: int) -> Held:
    line: Joint | None = None
    for _ in range(steps):
        line = joint(at, hung)
        at = moved(at, hung, line.step(at))
    for _ in range(_SAME_TANGENT):
        if line is not None:
            at = moved(at, hung, line.step(at))
    return at


def _settled(batch: Batch, hung: Hung) -> Held:
    """The line closed under the load as it is, whatever hangs there."""
    rows = settle(batch)
    length = rows[Row.NEAR_LENGTH]
    lift = -rows[Row.NEAR_UP] - batch.weight * length
    return held(batch, hung, Trial(rows[Row.TENSION], lift, length))


def _bounded(batch: Batch, hung: Hung) -> Held:
    """Newton's method on the load alone, each line closed first, no step over half of the load."""
    at = _settled(_start(batch, hung).batch, hung)
    for _ in range(_BOUNDED_STEPS):
        if (_open(at, hung) <= 1.0).all():
            break
        step = joint(at, hung).step(at)[1]
        load = np.stack([at.batch.downstream, at.batch.down])
        most = _LOAD_SHARE * (np.hypot(load[0], load[1]) + hung.weight)
        step *= np.minimum(1.0, most / np.maximum(np.hypot(step[0], step[1]), 1e-12))
        tried = np.clip(load + np.where(np.isfinite(step), step, 0.0), -LOAD_N.high, LOAD_N.high)
        at = _settled(batch.loaded(tried[0], tried[1]), hung)
    return at


def _careful(batch: Batch, hung: Hung) -> Held:
    """Newton's method on the load alone, each line closed first, strides cut where the gap would grow.

    Where cutting does not help (the gap has a fold, where the line goes slack), the load follows what
    pulls for some short strides, as the carriage itself would settle.
    """
    load = _first_load(batch, hung)
    at = _settled(batch.loaded(load[0], load[1]), hung)
    stride, following = np.ones(batch.count), np.zeros(batch.count, dtype=int)
    share = np.full(batch.count, _FOLLOWED)
    for _ in range(_CAREFUL_STEPS):
        if (_open(at, hung) <= 1.0).all():
            break
        step = joint(at, hung).step(at)[1]
        follow = (following > 0) | ~np.isfinite(step).all(axis=0)
        tried = np.clip(load + np.where(follow, share * at.gap, stride * step), -LOAD_N.high, LOAD_N.high)
        there = _settled(batch.loaded(tried[0], tried[1]), hung)
        gap, left = np.hypot(at.gap[0], at.gap[1]), np.hypot(there.gap[0], there.gap[1])
        better = (left <= gap * (1.0 - 1e-4 * stride)) | follow
        load = np.where(better, tried, load)
        stride = np.where(better, np.minimum(2.0 * stride, 1.0), 0.5 * stride)
        stuck = stride < _STRIDE_LEAST
        following = np.where(stuck, _FOLLOWING, np.maximum(following - 1, 0))
        share = np.where(stuck, np.where(share > _FOLLOWED_LEAST, 0.5 * share, _FOLLOWED), share)
        stride = np.where(stuck, 1.0, stride)
        at = _settled(batch.loaded(load[0], load[1]), hung)
    return at


def _read_off(at: Held, hung: Hung) -> FloatArray:
    """The rows of `CarriedRow` from closed states.

    Friction at the carriage's pulley is put on each ferry line as if that line had to overcome it:
    whichever way the carriage is moved, one of them does.
    """
    closure = at.closure
    rows = np.empty((len(CarriedRow), at.batch.count))
    rows[CarriedRow.TENSION] = at.trial.tension
    rows[CarriedRow.BOW : CarriedRow.DROP + 1] = at.place
    rows[CarriedRow.ALONG] = at.along
    rows[CarriedRow.DOWNSTREAM] = at.batch.downstream
    rows[CarriedRow.DOWN] = at.batch.down
    rows[CarriedRow.STRAND] = at.pulls.strand
    rows[CarriedRow.FERRY_NEAR : CarriedRow.FERRY_FAR + 1] = 0.0
    rows[CarriedRow.NEAR_ALONG] = at.across[0]
    rows[CarriedRow.NEAR_DOWNSTREAM] = closure.bow / closure.ends.run_a_newton[0]
    rows[CarriedRow.NEAR_UP] = -closure.ends.end_lift[0]
    rows[CarriedRow.LEFT :] = 0.0
    lines, tended = hung.tended, at.pulls.tended
    if lines is not None and tended is not None:
        rows[CarriedRow.LEFT] = tended.left
        rows[CarriedRow.HELD_NEAR :] = tended.density[:2] / tended.nearness[:2]
        load = at.pulls.load
        rub = lines.rub * np.sqrt(at.along * at.along + load[0] * load[0] + load[1] * load[1])
        for row, line, left in (
            (CarriedRow.FERRY_NEAR, 0, -tended.left),
            (CarriedRow.FERRY_FAR, 1, tended.left),
        ):
            density = tended.least[line] + np.maximum(left + rub, 0.0) / np.abs(lines.x[line])
            rows[row] = density / tended.nearness[line]
    return rows


def carry(batch: Batch, hung: Hung) -> FloatArray:
    """Every carriage of a batch in equilibrium with its line and all that hangs on it.

    Parameters
    ----------
    batch : the lines; the loads it holds are not looked at

    Returns
    -------
    array of shape (len(CarriedRow), number of states)

    Raises
    ------
    NoSolution
        Where a state could not be closed; the text gives the first.
    """
    # a trial on the way may be no rope (a lift beyond the tension, a negative length); `_open` judges it
    with np.errstate(all="ignore"):
        at = _newton(_start(batch, hung), hung, _QUICK_STEPS)
        solved = _read_off(at, hung)
        left = np.flatnonzero(_open(at, hung) > 1.0)
        if left.size:
            some = hung.part(left)
            again = Trial(at.trial.tension[left], at.trial.lift[left], at.trial.length[left])
            rest = _newton(held(at.batch.part(left), some, again), some, _MORE_STEPS)
            solved[:, left] = _read_off(rest, some)
            left = left[_open(rest, some) > 1.0]
        for way in (_anew, _bounded, _careful):
            if left.size:
                some = hung.part(left)
                rest = way(batch.part(left), some)
                solved[:, left] = _read_off(rest, some)
                left = left[_open(rest, some) > 1.0]
        if left.size:
            raise _unsolved(batch.part(left[:1]), hung.part(left[:1]), int(left.size))
    return solved


def _unsolved(batch: Batch, hung: Hung, count: int) -> NoSolution:
    """The refusal for states that would not close, with the values of the first."""
    values = ", ".join(
        f"{name} {array[0]:.6g}"
        for name, array in (
            ("span", batch.span),
            ("unstretched", batch.unstretched),
            ("at", batch.at),
            ("drag", hung.drag),
        )
    )
    return NoSolution(
        f"no balance found for {count} carriage(s) with what hangs on them; the first: {values} (SI)"
    )
