"""Rows to columns at the least total cost, exactly, and the first of several equals."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import linear_sum_assignment

from atlas.faults import OutOfRange

Costs = NDArray[np.float64]
Columns = tuple[int | None, ...]

FORBIDDEN = float("inf")
# Sums and differences of a few such totals still are whole numbers that a float holds exactly (2^53).
_GREATEST_TOTAL = 2.0**50


def _check(costs: Costs, unassigned: Costs) -> None:
    finite = costs[np.isfinite(costs)]
    everything = np.concatenate((finite, unassigned))
    if np.any(everything != np.floor(everything)) or np.any(everything < 0.0):
        raise OutOfRange("costs of an assignment are whole numbers, none negative")
    rows = costs.shape[0]
    if rows * float(everything.max(initial=0.0)) > _GREATEST_TOTAL:
        raise OutOfRange("costs of an assignment are too large to be added exactly")


def _solve(costs: Costs, unassigned: Costs) -> tuple[float, Columns]:
    """Least total and one assignment that has it; a spare column a row stands for none."""
    rows, columns = costs.shape
    spare = np.full((rows, rows), FORBIDDEN)
    np.fill_diagonal(spare, unassigned)
    whole = np.hstack((costs, spare))
    _, taken = linear_sum_assignment(whole)
    total = float(whole[np.arange(rows), taken].sum())
    return total, tuple(int(column) if column < columns else None for column in taken)


def assign(costs: Costs, unassigned: Costs) -> Columns:
    """The column of each row, so that the total cost is least.

    Parameters
    ----------
    costs : whole numbers >= 0, shape (rows, columns); `FORBIDDEN` where a row cannot have a column
    unassigned : what it costs to leave a row without one, whole numbers >= 0, shape (rows,)

    Returns
    -------
    tuple of int or None
        No column twice. None for a row left without.

    Raises
    ------
    OutOfRange
        Costs that are no whole numbers, negative, or too large for exact sums.

    Notes
    -----
    Exact: the shortest augmenting path method only adds, subtracts and compares costs, and whole numbers
    below 2^53 suffer no rounding in that. Source: Crouse, IEEE Trans. Aerosp. Electron. Syst. 52 (2016),
    as in scipy.optimize.linear_sum_assignment (source named in its documentation; from memory).
    """
    _check(costs, unassigned)
    return _solve(costs, unassigned)[1]


def assign_first(costs: Costs, unassigned: Costs) -> Columns:
    """`assign`, and of all assignments with the least total the first in order of columns.

    The first row has the leftmost column it has in any of them (none counts as rightmost), then the second
    row, and so on: the answer does not hang on how the method breaks ties. Parameters, returns and raises
    as in `assign`. For tens of rows and hundreds of columns; solves once for each column tried.
    """
    _check(costs, unassigned)
    least, columns = _solve(costs, unassigned)
    fixed = 0.0
    costs = costs.copy()
    at_least = np.minimum(costs.min(axis=1, initial=FORBIDDEN), unassigned)
    for row in range(costs.shape[0]):
        # what the rows after it cost at the least leaves so much for this one
        most = least - fixed - float(at_least[row + 1 :].sum())
        for column in _left_of(costs[row], columns[row], most):
            rest = costs[row + 1 :].copy()
            rest[:, column] = FORBIDDEN
            total, others = _solve(rest, unassigned[row + 1 :])
            if fixed + float(costs[row, column]) + total == least:
                columns = (*columns[:row], column, *others)
                break
        taken = columns[row]
        fixed += float(unassigned[row] if taken is None else costs[row, taken])
        if taken is not None:
            costs[:, taken] = FORBIDDEN
    return columns


def _left_of(row_costs: Costs, column: int | None, most: float) -> list[int]:
    """Columns this row could have before the one it has, at no more than `most`."""
    return [int(index) for index in np.flatnonzero(row_costs[:column] <= most)]
