"""A frictionless carriage on a heavy elastic rope: three equations in three unknowns, and Newton's step.

The rope runs from the near tie point (0, 0, 0) to the far one (span, 0, rise); x across, y downstream,
z up. Its part on each side of the carriage hangs in the vertical plane of that side and is one `piece`
of rope seen from the carriage. Without friction both parts have one tension t at the carriage. Unknown
are t, the lift v of the near part there, and the unstretched length s of the near part; the far part has
lift D - v and length S - s, with D the load down and S the unstretched length of the whole.

A part whose run is H m pulls the carriage back upstream with H y / (H m) = y / m, so with P the load
downstream

    y = P m1 m2 / (m1 + m2)

and what must hold is that the two parts end at the two tie points:

    (H1 m1)^2 = x1^2 + y^2,   (H2 m2)^2 = x2^2 + y^2,   rise2 - rise1 = rise

with x1 = x and x2 = span - x. The force along x that keeps the carriage there is x1 / m1 - x2 / m2. The
balance across and down holds by the way it is written, whatever the unknowns; only the closure of the
geometry is iterated.

Arrays of one batch are flat; what belongs to both parts has the parts in its first axis, near first.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
import numpy.typing as npt

from atlas.rigging.catenary import Piece, PieceSlopes, piece, piece_rise, piece_slopes
from atlas.rigging.shown import FloatArray

__all__ = ["Batch", "Closure", "Tangent", "Trial", "close", "miss", "tangent"]


@dataclass(frozen=True, slots=True, eq=False)
class Batch:
    """Loaded states to be solved: flat arrays of one length, or of length 1 where all share a value.

    Attributes
    ----------
    span, rise : from the near to the far tie point, across and up [m]
    unstretched : length of the rope between them without tension [m]
    weight : of a metre of unstretched rope [N/m]
    stiffness : EA [N]
    at : x of the carriage [m]
    downstream, down : what pulls on the carriage [N]
    count : how many states; computed, as all that follows
    compliance : 1 / EA [1/N]
    runs : x1, x2 by part [m]
    """

    span: FloatArray
    rise: FloatArray
    unstretched: FloatArray
    weight: FloatArray
    stiffness: FloatArray
    at: FloatArray
    downstream: FloatArray
    down: FloatArray
    count: int = field(init=False)
    compliance: FloatArray = field(init=False)
    runs: FloatArray = field(init=False)

    def __post_init__(self) -> None:
        count = max(array.size for array in self.given())
        object.__setattr__(self, "count", count)
        object.__setattr__(self, "compliance", 1.0 / self.stiffness)
        object.__setattr__(self, "runs", _both(self.at, self.span - self.at, count))

    def given(self) -> tuple[FloatArray, ...]:
        """The arrays the batch was made of, in their order."""
        return (
            self.span, self.rise, self.unstretched, self.weight,
            self.stiffness, self.at, self.downstream, self.down,
        )  # fmt: skip

    def loaded(self, downstream: FloatArray, down: FloatArray) -> Batch:
        """The same lines under another load."""
        return replace(self, downstream=downstream, down=down)

    def part(self, which: npt.NDArray[np.intp]) -> Batch:
        """Some of the states, by index."""
        return Batch(*(array if array.size == 1 else array[which] for array in self.given()))


def _both(near: FloatArray, far: FloatArray, count: int) -> FloatArray:
    """A value of the near and of the far part, stacked."""
    parts = np.empty((2, count))
    parts[0] = near
    parts[1] = far
    return parts


@dataclass(frozen=True, slots=True)
class Trial:
    """Values of the three unknowns: tension at the carriage [N], near lift [N], near length [m]."""

    tension: FloatArray
    lift: FloatArray
    length: FloatArray

    def moved(self, step: Trial) -> Trial:
        """The trial after a step."""
        return Trial(self.tension + step.tension, self.lift + step.lift, self.length + step.length)


@dataclass(frozen=True, slots=True)
class Closure:
    """What a trial comes to. Per part, near first, where it says so.

    Attributes
    ----------
    lifts, lengths : lift at the carriage [N] and unstretched length [m] by part
    ends : the pieces of rope by part
    rises : by part, with their stretch [m]
    shares : m1, m2 over their sum
    bow : y of the carriage [m]
    horizontal_squares : H^2 by part [N2]
    run_gaps : by part, half of (H m)^2 - x^2 - y^2 [m2]
    rise_gap : by how much the parts miss each other's height [m]
    """

    lifts: FloatArray
    lengths: FloatArray
    ends: Piece
    rises: FloatArray
    shares: FloatArray
    bow: FloatArray
    horizontal_squares: FloatArray
    run_gaps: FloatArray
    rise_gap: FloatArray


def close(batch: Batch, trial: Trial) -> Closure:
    """Follow both parts of the rope from the carriage, and see by how much they miss the tie points."""
    tension, weight, compliance = trial.tension, batch.weight, batch.compliance
    lifts = _both(trial.lift, batch.down - trial.lift, batch.count)
    lengths = _both(trial.length, batch.unstretched - trial.length, batch.count)
    ends = piece(tension=tension, lift=lifts, length=lengths, weight=weight, compliance=compliance)
    rises = piece_rise(ends, lift=lifts, length=lengths, compliance=compliance)
    slack = ends.run_a_newton
    shares = slack / (slack[0] + slack[1])
    bow = batch.downstream * slack[0] * shares[1]
    squares = (tension - lifts) * (tension + lifts)
    gaps = squares * (slack * slack) - batch.runs * batch.runs - bow * bow
    return Closure(
        lifts=lifts,
        lengths=lengths,
        ends=ends,
        rises=rises,
        shares=shares,
        bow=bow,
        horizontal_squares=squares,
        run_gaps=0.5 * gaps,
        rise_gap=rises[1] - rises[0] - batch.rise,
    )


def miss(batch: Batch, closure: Closure) -> FloatArray:
    """The greatest gap as a share of the span, never understated; infinite where the trial is no rope.

    A run gap is half a difference of squares, so over the run it is at least the gap in metres.
    """
    gaps = np.abs(closure.run_gaps / batch.runs)
    worst = np.maximum(np.maximum(gaps[0], gaps[1]), np.abs(closure.rise_gap)) / batch.span
    # a root of the squares with a negative length or run is none of the rope's
    rope = (closure.lengths > 0.0).all(axis=0) & (closure.ends.run_a_newton > 0.0).all(axis=0)
    return np.where(rope & np.isfinite(worst), worst, np.inf)


@dataclass(frozen=True, slots=True)
class _Rows:
    """Derivatives of the run gaps by part: a row for each, near first."""

    by_tension: FloatArray
    by_lift: FloatArray
    by_length: FloatArray


def _rows_of_runs(batch: Batch, trial: Trial, closure: Closure, slopes: PieceSlopes) -> _Rows:
    """How the run gaps change with the three unknowns; lift and length of the far part run against them."""
    slack = closure.ends.run_a_newton
    square = slack * slack
    reach = closure.horizontal_squares * slack
    by_tension = trial.tension * square - reach * slopes.run_less_with_tension
    by_lift = reach * slopes.run_with_lift - closure.lifts * square
    by_length = reach * slopes.run_with_length
    by_lift[1] *= -1.0
    by_length[1] *= -1.0
    # y dy = P y (share2^2 dm1 + share1^2 dm2) is the same in both rows
    others = closure.shares[::-1]
    bow = batch.downstream * closure.bow * (others * others)
    change = bow * slopes.run_less_with_tension
    by_tension += change[0] + change[1]
    change = bow * slopes.run_with_lift
    by_lift -= change[0] - change[1]
    change = bow * slopes.run_with_length
    by_length -= change[0] - change[1]
    return _Rows(by_tension, by_lift, by_length)


@dataclass(frozen=True, slots=True)
class Tangent:
    """The linear system of Newton's step at a trial, reduced to two unknowns.

    The row of the heights is solved for the lift, lift = -(`lift_by_gap` gap + `lift_by_tension` tension
    + `lift_by_length` length), and put into the two rows of the runs.
    """

    slopes: PieceSlopes
    by_lift: FloatArray
    lift_by_gap: FloatArray
    lift_by_tension: FloatArray
    lift_by_length: FloatArray
    by_tension: FloatArray
    by_length: FloatArray
    inverse: FloatArray
    """1 over the determinant of the two rows"""

    def closing(self, run_gaps: FloatArray, rise_gap: FloatArray) -> Trial:
        """The changes of the three unknowns that close these gaps, as far as the tangent is true.

        Parameters
        ----------
        run_gaps : near and far [m2], `rise_gap` [m]: as in `Closure`; several sets of gaps may stand in
            axes between the parts and the batch
        """
        alone = rise_gap * self.lift_by_gap
        near = run_gaps[0] - self.by_lift[0] * alone
        far = run_gaps[1] - self.by_lift[1] * alone
        tension = (far * self.by_length[0] - near * self.by_length[1]) * self.inverse
        length = (near * self.by_tension[1] - far * self.by_tension[0]) * self.inverse
        lift = -(alone + self.lift_by_tension * tension + self.lift_by_length * length)
        return Trial(tension, lift, length)

    def step(self, closure: Closure) -> Trial:
        """Newton's step: the changes that close the gaps of a closure."""
        return self.closing(closure.run_gaps, closure.rise_gap)


def tangent(batch: Batch, trial: Trial, closure: Closure) -> Tangent:
    """Derivatives of the gaps at a trial, ready to step from."""
    lengths = closure.lengths
    slopes = piece_slopes(closure.ends, length=lengths, compliance=batch.compliance)
    rows = _rows_of_runs(batch, trial, closure, slopes)
    less = slopes.rise_less_with_tension
    with_lift = lengths * slopes.run_with_length
    with_length = closure.ends.end_lift * slopes.run_with_length
    lift_by_gap = -1.0 / (with_lift[0] + with_lift[1])
    lift_by_tension = (less[0] - less[1]) * lift_by_gap
    lift_by_length = -(with_length[0] + with_length[1]) * lift_by_gap
    by_tension = rows.by_tension - rows.by_lift * lift_by_tension
    by_length = rows.by_length - rows.by_lift * lift_by_length
    return Tangent(
        slopes=slopes,
        by_lift=rows.by_lift,
        lift_by_gap=lift_by_gap,
        lift_by_tension=lift_by_tension,
        lift_by_length=lift_by_length,
        by_tension=by_tension,
        by_length=by_length,
        inverse=1.0 / (by_tension[0] * by_length[1] - by_tension[1] * by_length[0]),
    )
