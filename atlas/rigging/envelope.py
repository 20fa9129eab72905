"""The worst of a quantity over the places of the carriage: a grid, then the summit between its points."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from atlas.rigging.asked import Asked
from atlas.rigging.carriages import Carriages, carriages_at
from atlas.rigging.carried import CarriedRow
from atlas.rigging.pulls import END_ROOM_M
from atlas.rigging.setups import Of
from atlas.rigging.shown import FloatArray

__all__ = [
    "FOLDS",
    "Measure",
    "bow",
    "crossings",
    "ferry_near",
    "grid_of",
    "resultant",
    "summits",
    "tension",
    "with_folds",
    "worst_of",
    "worst_where_it_counts",
]

Measure = Callable[[Carriages], FloatArray]
"""A quantity of carriages that is worst where it is greatest."""

_ROUNDS = 2
_APART = 0.05
"""Of the width of three places: the least between the middle one and one to be solved on the way."""
_FOLD_WEIGHTS = (1.0, 0.5, 1.0)
"""Rounds of false position for the folds; the second from the other side, since a switch may bend there."""


def tension(state: Carriages) -> FloatArray:
    """Rope tension [N]: worst when greatest."""
    return state.tension_n


def bow(state: Carriages) -> FloatArray:
    """Bow [m]: worst when greatest."""
    return state.bow_m


def resultant(state: Carriages) -> FloatArray:
    """Load on the carriage pulley [N]: worst when greatest."""
    return state.resultant_n


def ferry_near(state: Carriages) -> FloatArray:
    """Near ferry line [N]: worst when greatest, which is at no end of the travel."""
    return state.ferry_near_n


FOLDS = 3
"""Kinds of folds in x, each at most once told of a question."""


def _switches(state: Carriages) -> list[FloatArray]:
    """What changes its sign where a state has a fold in x.

    Which ferry line gives what the least tensions leave; whether the ring's own room decides the least
    tension; whether the strands are as short as they may be.
    """
    asked = state.asked
    whole = asked.whole[:, np.newaxis]
    room = state.clearance_m - asked.clearance_m[:, np.newaxis] - END_ROOM_M
    strands = state.of_site(Of.REACH) - state.bow_m - state.of_site(Of.STRAND_LEAST)
    free = np.isnan(asked.strand_m)[:, np.newaxis]
    return [state.rows[CarriedRow.LEFT], np.where(whole, room, 1.0), np.where(free, strands, 1.0)]


def _crossing(place: FloatArray, switch: FloatArray, worst: FloatArray, *, weight: float) -> FloatArray:
    """Where a switch changes its sign, straight between two places; NaN where it does not [m].

    Of several changes the one nearest to the place `worst`. The switch of greater size counts `weight`
    times: under one, the place found lies on the other side of the change than it else would.
    """
    changes = switch[:, :-1] * switch[:, 1:] < 0.0
    away = np.where(changes, np.abs(place[:, :-1] + place[:, 1:] - 2.0 * worst[:, np.newaxis]), np.inf)
    nearest, question = np.argmin(away, axis=1), np.arange(len(away))
    x0, x1, s0, s1 = (values[question, nearest + k] for values in (place, switch) for k in (0, 1))
    s0, s1 = (np.where(np.abs(a) > np.abs(b), weight * a, a) for a, b in ((s0, s1), (s1, s0)))
    with np.errstate(invalid="ignore", divide="ignore"):
        found: FloatArray = np.where(changes.any(axis=1), x0 - s0 * (x1 - x0) / (s1 - s0), np.nan)
    return found


def crossings(state: Carriages, values: FloatArray, *, weight: float = 1.0) -> list[FloatArray]:
    """Places of a question's folds, straight between those solved; NaN where it has none [m].

    Of each kind the one nearest to where `values` are greatest; `weight` as in `_crossing`.
    """
    worst = np.take_along_axis(state.at_m, np.argmax(values, axis=1)[:, np.newaxis], axis=1)[:, 0]
    return [_crossing(state.at_m, switch, worst, weight=weight) for switch in _switches(state)]


def _solved_some(grid: Carriages, at_m: FloatArray) -> Carriages:
    """The grid's questions at further places, shape (questions, n); NaN is none and repeats the last one."""
    asked = np.isfinite(at_m)
    question, column = np.nonzero(asked)
    rows = np.repeat(grid.rows[:, :, -1:], at_m.shape[1], axis=2)
    if question.size:
        there = carriages_at(grid.table, grid.asked.part(question), at_m[question, column][:, np.newaxis])
        rows[:, question, column] = there.rows[:, :, 0]
    return replace(grid, at_m=np.where(asked, at_m, grid.at_m[:, -1:]), rows=rows)


def with_folds(grid: Carriages, measure: Measure) -> Carriages:
    """A grid and the places of its folds near where `measure` is greatest."""
    for weight in _FOLD_WEIGHTS:
        at = np.stack(crossings(grid, measure(grid), weight=weight), axis=1)
        grid = grid.beside(_solved_some(grid, at)).in_order()
    return grid


def grid_of(
    table: FloatArray,
    asked: Asked,
    *,
    from_m: FloatArray,
    to_m: FloatArray,
    count: int,
    measure: Measure | None = None,
) -> Carriages:
    """Every question at `count` even places between its ends, and at its folds.

    Parameters
    ----------
    from_m, to_m : shape (questions,) [m]
    count : at least 3
    measure : places are added where what holds the carriage changes its part, near where this is worst;
        None for the even places alone
    """
    share = np.linspace(0.0, 1.0, count)
    grid = carriages_at(table, asked, from_m[:, np.newaxis] + (to_m - from_m)[:, np.newaxis] * share)
    return grid if measure is None else with_folds(grid, measure)


@dataclass(frozen=True, slots=True, eq=False)
class _Three:
    """Three places about the greatest value, in their order, and the values there; shape (3, questions)."""

    place: FloatArray
    value: FloatArray

    def summit(self) -> FloatArray:
        """Where the parabola through them is greatest, between the outer two [m]."""
        place, value = self.place, self.value
        before, after = place[1] - place[0], place[1] - place[2]
        fall, rise = value[1] - value[2], value[1] - value[0]
        under = before * fall - after * rise
        shift = np.divide(
            before**2 * fall - after**2 * rise, 2.0 * under, out=np.zeros_like(under), where=under != 0.0
        )
        inner = np.clip(place[1] - shift, place[0], place[2])
        # bent the other way it is greatest at an end
        end = np.where(value[0] > value[2], place[0], place[2])
        top: FloatArray = np.where(rise * after <= fall * before, inner, end)
        return top

    def apart(self, place: FloatArray) -> FloatArray:
        """A place kept a little off all three, so that it tells something new."""
        room = _APART * (self.place[2] - self.place[0])
        aside = np.where(place >= self.place[1], room, -room)
        near = np.abs(place - self.place[1]) < room
        off = np.where(near, self.place[1] + aside, place)
        return np.clip(off, self.place[0] + room, self.place[2] - room)

    def with_one(self, place: FloatArray, value: FloatArray) -> _Three:
        """The three about the greatest of these and one between them."""
        all_places = np.concatenate([self.place, place[np.newaxis]])
        order = np.argsort(all_places, axis=0, kind="stable")
        places = np.take_along_axis(all_places, order, axis=0)
        values = np.take_along_axis(np.concatenate([self.value, value[np.newaxis]]), order, axis=0)
        middle = np.clip(np.argmax(values, axis=0), 1, 2)
        which = middle + np.array([[-1], [0], [1]])
        return _Three(np.take_along_axis(places, which, axis=0), np.take_along_axis(values, which, axis=0))


def _about(state: Carriages, values: FloatArray) -> _Three:
    """Three places about the greatest value; a place that is there twice counts once."""
    place = state.at_m
    again = np.zeros(place.shape, dtype=bool)
    again[:, 1:] = place[:, 1:] <= place[:, :-1]
    last = np.count_nonzero(~again, axis=1) - 1
    if again.any():
        order = np.argsort(again, axis=1, kind="stable")
        place, values = (np.take_along_axis(each, order, axis=1) for each in (place, values))
    # of one that is there twice the first is met first
    middle = np.clip(np.argmax(values, axis=1), 1, np.maximum(last - 1, 1))
    which = middle[:, np.newaxis] + np.array([-1, 0, 1])
    return _Three(np.take_along_axis(place, which, axis=1).T, np.take_along_axis(values, which, axis=1).T)


def summits(state: Carriages, values: FloatArray) -> FloatArray:
    """Place where a value is greatest, as the parabola through the three about the greatest has it [m]."""
    return _about(state, values).summit()


def worst_of(grid: Carriages, measure: Measure, *, rounds: int = _ROUNDS) -> Carriages:
    """The state of each question in which `measure` is greatest, refined between the points of a grid.

    Parameters
    ----------
    grid : at least three places a question, in their order
    rounds : so many places are solved in between

    Raises
    ------
    OutOfRange, NoSolution
        From `carriages_at`.
    """
    three = _about(grid, measure(grid))
    found = grid
    for turn in range(rounds):
        place = three.summit()
        place = place if turn == rounds - 1 else three.apart(place)
        there = carriages_at(grid.table, grid.asked, place[:, np.newaxis])
        three = three.with_one(place, measure(there)[:, 0])
        found = found.beside(there)
    return found.at(np.argmax(measure(found), axis=1))


def worst_where_it_counts(
    grid: Carriages,
    measure: Measure,
    *,
    together: int,
    slack: Callable[[FloatArray], FloatArray],
    rounds: int = _ROUNDS,
) -> Carriages:
    """The state of each question in which `measure` is greatest, refined where the question may count.

    Parameters
    ----------
    grid : even places; folds are looked for here
    together : so many questions following each other are alternatives, of which the worst counts
    slack : of the greatest of some alternatives, by how much less another is still refined
    rounds : as `worst_of`
    """
    values = measure(grid)
    most = values.max(axis=1).reshape(-1, together)
    worst = most.max(axis=1)
    counts = np.flatnonzero((most >= (worst - slack(worst))[:, np.newaxis]).ravel())
    found = grid.at(np.argmax(values, axis=1))
    refined = worst_of(with_folds(grid.part(counts), measure), measure, rounds=rounds)
    at_m, rows = found.at_m.copy(), found.rows.copy()
    at_m[counts], rows[:, counts] = refined.at_m, refined.rows
    return replace(found, at_m=at_m, rows=rows)
