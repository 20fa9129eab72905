"""Newton's method on a batch of carriages: quick on all, careful on the few it leaves, verified on each.

The closure of the geometry is measured on what is handed back, not on the last step: a state is done
when its parts end within 1e-11 of the span at both tie points (0.1 to 2.5 thousandths of a micrometre).
"""

from __future__ import annotations

from dataclasses import fields
from enum import IntEnum

import numpy as np

from atlas.faults import NoSolution
from atlas.rigging.balance import Batch, Closure, Trial, close, miss, tangent
from atlas.rigging.shown import FloatArray
from atlas.rigging.starts import careful_start, quick_start

__all__ = ["CLOSED", "Row", "settle"]


class Row(IntEnum):
    """Rows of a solved batch; forces [N], lengths [m], named as in `TrackState` and `EndPull`."""

    TENSION = 0
    BOW = 1
    HEIGHT = 2
    ALONG = 3
    NEAR_LENGTH = 4
    NEAR_ALONG = 5
    FAR_ALONG = 6
    NEAR_DOWNSTREAM = 7
    FAR_DOWNSTREAM = 8
    NEAR_UP = 9
    FAR_UP = 10


CLOSED = 1e-11
_QUICK_STEPS = 2
"""All states take these: over the range shown 19 of 20 are then closed."""
_MORE_STEPS = 2
"""Those still open go on from where they are: then 1 in 100,000 is left, 1 in 100 at the range's corners."""
_CAREFUL_STEPS = 40
"""Most for those that begin anew and slowly; 8 were enough for every one of a million corner states."""
_TIGHTER = (1.0, 3.0)
"""Starts of those: a slack rope lifted by its carriage comes back from a tighter one, not from its own."""


def _newton(batch: Batch, trial: Trial, steps: int) -> tuple[Trial, Closure]:
    """Newton's method; after the last of `steps` one more by the same tangent, which costs a third."""
    closure = close(batch, trial)
    for _ in range(steps):
        line = tangent(batch, trial, closure)
        trial = trial.moved(line.step(closure))
        closure = close(batch, trial)
    trial = trial.moved(line.step(closure))
    return trial, close(batch, trial)


def _held_step(batch: Batch, trial: Trial) -> Trial:
    """One Newton step cut so that the trial stays a rope.

    Tension at most doubles or halves; each part keeps half of its length; the room between tension and
    lift shrinks to a tenth at most, since a lift beyond the tension has no meaning.
    """
    closure = close(batch, trial)
    step = tangent(batch, trial, closure).step(closure)
    tension = np.clip(trial.tension + step.tension, 0.5 * trial.tension, 2.0 * trial.tension)
    with np.errstate(divide="ignore", invalid="ignore"):
        share = np.where(step.tension == 0.0, 1.0, (tension - trial.tension) / step.tension)
    far_lift = batch.down - trial.lift
    room = np.maximum(trial.tension - np.maximum(np.abs(trial.lift), np.abs(far_lift)), 1e-7 * trial.tension)
    most = tension * (1.0 - 0.1 * room / trial.tension)
    lift = np.clip(
        trial.lift + share * step.lift,
        np.maximum(-most, batch.down - most),
        np.minimum(most, batch.down + most),
    )
    far_length = batch.unstretched - trial.length
    length = np.clip(trial.length + share * step.length, 0.5 * trial.length, trial.length + 0.5 * far_length)
    sound = np.isfinite(tension) & np.isfinite(lift) & np.isfinite(length)
    # where the step broke down, try again from more tension
    return Trial(
        np.where(sound, tension, 1.5 * trial.tension),
        np.where(sound, lift, 0.5 * batch.down),
        np.where(sound, length, trial.length),
    )


def _read_off(batch: Batch, trial: Trial, closure: Closure) -> FloatArray:
    """The rows of `Row` from a closed state."""
    slack = closure.ends.run_a_newton
    across = batch.runs / slack
    downstream = closure.bow / slack
    rows = np.empty((len(Row), trial.tension.size))
    rows[Row.TENSION] = trial.tension
    rows[Row.BOW] = closure.bow
    rows[Row.HEIGHT] = -closure.rises[0]
    rows[Row.ALONG] = across[0] - across[1]
    rows[Row.NEAR_LENGTH] = trial.length
    rows[Row.NEAR_ALONG] = across[0]
    rows[Row.FAR_ALONG] = -across[1]
    rows[Row.NEAR_DOWNSTREAM : Row.FAR_DOWNSTREAM + 1] = downstream
    rows[Row.NEAR_UP : Row.FAR_UP + 1] = -closure.ends.end_lift
    return rows


def _careful(batch: Batch, *, tighter: float) -> tuple[Trial, Closure]:
    """Held steps from the lumped rope, taken `tighter` times as tight as it is."""
    begin = careful_start(batch)
    trial = Trial(tighter * begin.tension, begin.lift, begin.length)
    for _ in range(_CAREFUL_STEPS):
        closure = close(batch, trial)
        if (miss(batch, closure) <= CLOSED).all():
            break
        trial = _held_step(batch, trial)
    return trial, close(batch, trial)


def settle(batch: Batch) -> FloatArray:
    """Solve every state of a batch.

    Returns
    -------
    array of shape (len(Row), number of states)

    Raises
    ------
    NoSolution
        Where a state could not be closed; the text gives its values.
    """
    # a trial on the way may be no rope (a lift beyond the tension, a negative length); `miss` judges it
    with np.errstate(all="ignore"):
        trial, closure = _newton(batch, quick_start(batch), _QUICK_STEPS)
        solved = _read_off(batch, trial, closure)
        left = np.flatnonzero(miss(batch, closure) > CLOSED)
        if left.size:
            rest = batch.part(left)
            on = Trial(trial.tension[left], trial.lift[left], trial.length[left])
            trial, closure = _newton(rest, on, _MORE_STEPS)
            solved[:, left] = _read_off(rest, trial, closure)
            left = left[miss(rest, closure) > CLOSED]
        for tighter in _TIGHTER:
            if left.size:
                rest = batch.part(left)
                trial, closure = _careful(rest, tighter=tighter)
                solved[:, left] = _read_off(rest, trial, closure)
                left = left[miss(rest, closure) > CLOSED]
        if left.size:
            raise _unsolved(batch.part(left[:1]), int(left.size))
    return solved


def _unsolved(batch: Batch, count: int) -> NoSolution:
    """The refusal for states that would not close, with the values of the first."""
    names = (field.name for field in fields(batch))
    values = ", ".join(f"{name} {array[0]:.6g}" for name, array in zip(names, batch.given(), strict=False))
    return NoSolution(f"no balance found for {count} loaded state(s); the first: {values} (SI)")
