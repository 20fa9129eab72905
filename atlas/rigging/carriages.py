"""Carriages of many sites in equilibrium, at every place asked of: what `carry` solves, in words.

A question with the whole system and one with drag alone are solved apart, since the second is half as
dear; both come back in one array.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from atlas.rigging.asked import Asked, Index, together
from atlas.rigging.balance import Batch
from atlas.rigging.carried import CarriedRow, carry
from atlas.rigging.pulls import Hung, Tended
from atlas.rigging.setups import Of
from atlas.rigging.shown import AT_SHARE, LOAD_N, FloatArray, require, require_between

__all__ = ["Carriages", "carriages_at", "carriages_of"]

_CHUNK = 16384
"""States solved at a time: the work of one chunk stays in a core's own caches."""
_FIXED_REACH_M = -1e6


@dataclass(frozen=True, slots=True, eq=False)
class Carriages:
    """The states of questions at their places.

    Attributes
    ----------
    asked : the questions
    table : the sites' table
    at_m : places, shape (questions, places)
    rows : shape (rows of `CarriedRow`, questions, places)
    unstretched_m : of each question's rope
    """

    asked: Asked
    table: FloatArray
    unstretched_m: FloatArray
    at_m: FloatArray
    rows: FloatArray

    def of_site(self, row: int) -> FloatArray:
        """A figure of each question's site, shape (questions, 1)."""
        figures: FloatArray = self.table[row, self.asked.site][:, np.newaxis]
        return figures

    def _row(self, row: CarriedRow) -> FloatArray:
        values: FloatArray = self.rows[row]
        return values

    @property
    def tension_n(self) -> FloatArray:
        """Rope tension at the carriage [N]."""
        return self._row(CarriedRow.TENSION)

    @property
    def bow_m(self) -> FloatArray:
        """How far downstream the carriage is drawn [m]."""
        return self._row(CarriedRow.BOW)

    @property
    def height_m(self) -> FloatArray:
        """Carriage on its line over the near tie point [m]."""
        return -self._row(CarriedRow.DROP)

    @property
    def along_n(self) -> FloatArray:
        """Force along the line that keeps the carriage there, as `TrackState.along_n` [N]."""
        return self._row(CarriedRow.ALONG)

    @property
    def downstream_n(self) -> FloatArray:
        """Load on the track line downstream [N]."""
        return self._row(CarriedRow.DOWNSTREAM)

    @property
    def down_n(self) -> FloatArray:
        """Load on the track line down [N]."""
        return self._row(CarriedRow.DOWN)

    @property
    def strand_n(self) -> FloatArray:
        """What the strands to the boat pull together [N]."""
        return self._row(CarriedRow.STRAND)

    @property
    def ferry_near_n(self) -> FloatArray:
        """Near ferry line, the carriage's friction on it; 0 with drag alone [N]."""
        return self._row(CarriedRow.FERRY_NEAR)

    @property
    def ferry_far_n(self) -> FloatArray:
        """Far ferry line, the carriage's friction on it; 0 with drag alone [N]."""
        return self._row(CarriedRow.FERRY_FAR)

    @property
    def resultant_n(self) -> FloatArray:
        """Load on the carriage pulley: what both sides of the rope pull together [N]."""
        size: FloatArray = np.sqrt(self.along_n**2 + self.downstream_n**2 + self.down_n**2)
        return size

    @property
    def ring_m(self) -> FloatArray:
        """Carriage ring and hardware over the survey day's water [m]."""
        raised = self.asked.raised_m[:, np.newaxis]
        ring: FloatArray = self.of_site(Of.NEAR_TIE) + raised + self.height_m - self.of_site(Of.RING_BELOW)
        return ring

    @property
    def clearance_m(self) -> FloatArray:
        """Carriage hardware over the water of the stage [m]."""
        clear: FloatArray = self.ring_m - self.asked.water_rise_m[:, np.newaxis]
        return clear

    def at(self, place: Index) -> Carriages:
        """One place of each question, by its index."""
        chosen = place[:, np.newaxis]
        rows = np.take_along_axis(self.rows, chosen[np.newaxis], axis=2)
        return replace(self, at_m=np.take_along_axis(self.at_m, chosen, axis=1), rows=rows)

    def beside(self, other: Carriages) -> Carriages:
        """The places of both, of the same questions."""
        return replace(
            self,
            at_m=np.concatenate([self.at_m, other.at_m], axis=1),
            rows=np.concatenate([self.rows, other.rows], axis=2),
        )

    def in_order(self) -> Carriages:
        """The places of each question from the near bank to the far one."""
        order = np.argsort(self.at_m, axis=1, kind="stable")
        return replace(
            self,
            at_m=np.take_along_axis(self.at_m, order, axis=1),
            rows=np.take_along_axis(self.rows, order[np.newaxis], axis=2),
        )

    def part(self, which: Index) -> Carriages:
        """Some of the questions."""
        return Carriages(
            self.asked.part(which),
            self.table,
            self.unstretched_m[which],
            self.at_m[which],
            self.rows[:, which],
        )


def _batch(asked: Asked, table: FloatArray, unstretched: FloatArray, at: FloatArray, every: Index) -> Batch:
    """Lines of flat states; `every` is the question of each."""
    site = asked.site[every]
    nothing = np.zeros(1)
    return Batch(
        span=table[Of.SPAN, site],
        rise=table[Of.RISE, site],
        unstretched=unstretched[every],
        weight=table[Of.WEIGHT, site],
        stiffness=asked.stiffness_n[every],
        at=at,
        downstream=nothing,
        down=nothing,
    )


def _tended(one: Asked, site: FloatArray, tie: FloatArray, at: FloatArray) -> Tended:
    """The tended lines of flat states; `tie` is the near tie point over the survey day's water."""
    yd = np.empty((2, 3, at.size))
    yd[0] = site[Of.STATION_Y : Of.STATION_Y + 3]
    yd[1] = tie - site[Of.STATION_Z : Of.STATION_Z + 3]
    return Tended(
        share=site[Of.SHARE],
        half_weight=site[Of.HALF_FERRY_WEIGHT],
        rub=site[Of.RUB],
        floor=tie - one.water_rise_m - one.clearance_m,
        x=site[Of.STATION_X : Of.STATION_X + 3] - at,
        yd=yd,
    )


def _hung(asked: Asked, table: FloatArray, at: FloatArray, every: Index, *, whole: bool) -> Hung:
    """What hangs on flat states, all with the whole system or all with drag alone."""
    one = asked.part(every)
    site = table[:, one.site]
    tie = site[Of.NEAR_TIE] + one.raised_m
    fixed = np.isfinite(one.strand_m)
    straight = np.zeros(at.size), np.ones(at.size)
    along, downstream = (site[Of.FLOW_ALONG], site[Of.FLOW_DOWN]) if whole else straight
    return Hung(
        drag=one.drag_n,
        along=along,
        downstream=downstream,
        weight=site[Of.CARRIAGE],
        ring_drop=site[Of.RING_BELOW],
        bow_ring=tie - one.water_rise_m - site[Of.BOW_RING],
        reach=np.where(fixed, _FIXED_REACH_M, site[Of.REACH]),
        strand_least=np.where(fixed, one.strand_m, site[Of.STRAND_LEAST]),
        tended=_tended(one, site, tie, at) if whole else None,
    )


def _solved(
    table: FloatArray, asked: Asked, question: Index, at: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Rows of flat states, and the rope of each question; `question` says which each is of."""
    span = table[Of.SPAN, asked.site][question]
    require_between(
        "at_m", at, low=AT_SHARE.low * span, high=AT_SHARE.high * span, unit="m", why="2 to 98 % of the span"
    )
    unstretched = asked.unstretched_m(table)
    rows = np.empty((len(CarriedRow), at.size))
    is_whole = asked.whole[question]
    for whole in (False, True):
        states = np.flatnonzero(is_whole == whole)
        for begin in range(0, states.size, _CHUNK):
            chunk = states[begin : begin + _CHUNK]
            of, here = question[chunk], at[chunk]
            rows[:, chunk] = carry(
                _batch(asked, table, unstretched, here, of), _hung(asked, table, here, of, whole=whole)
            )
    require(LOAD_N, np.hypot(rows[CarriedRow.DOWNSTREAM], rows[CarriedRow.DOWN]))
    return rows, unstretched


def carriages_of(table: FloatArray, sets: Sequence[tuple[Asked, FloatArray]]) -> list[Carriages]:
    """As `carriages_at`, of several sets of questions, each with places of its own, solved together."""
    counts = [at.shape[1] for _, at in sets]
    asked = together([one for one, _ in sets])
    many = np.concatenate([np.full(one.count, count) for (one, _), count in zip(sets, counts, strict=True)])
    question = np.repeat(np.arange(asked.count), many)
    rows, unstretched = _solved(table, asked, question, np.concatenate([at.ravel() for _, at in sets]))
    found, begin, first = [], 0, 0
    for one, at in sets:
        end, last = begin + at.size, first + one.count
        own = rows[:, begin:end].reshape(len(CarriedRow), *at.shape)
        found.append(Carriages(one, table, unstretched[first:last], at, own))
        begin, first = end, last
    return found


def carriages_at(table: FloatArray, asked: Asked, at_m: npt.ArrayLike) -> Carriages:
    """Every question's carriage at its places, with all that hangs on it in equilibrium.

    Parameters
    ----------
    table : of `table_of`
    at_m : shape (questions, places) or what broadcasts to it [m] from the near tie point

    Raises
    ------
    OutOfRange
        Outside `atlas.rigging.shown`: a place, a pretension, a stiffness, or the load found.
    NoSolution
        A state is not found; none is known.
    """
    places = np.asarray(at_m, dtype=np.float64)
    at = np.ascontiguousarray(np.broadcast_to(places, (asked.count, places.shape[-1])))
    question = np.repeat(np.arange(asked.count), at.shape[1])
    rows, unstretched = _solved(table, asked, question, at.ravel())
    return Carriages(asked, table, unstretched, at, rows.reshape(len(CarriedRow), *at.shape))
