import itertools
import random

import numpy as np
import pytest

from atlas.cover.assignment import FORBIDDEN, assign, assign_first
from atlas.faults import OutOfRange

NONE_LAST = 99


def every_assignment(costs, unassigned):
    """Total cost of every way to give rows columns, no column twice: enumeration, no method shared."""
    rows, columns = costs.shape
    for choice in itertools.product([*range(columns), None], repeat=rows):
        taken = [column for column in choice if column is not None]
        if len(set(taken)) < len(taken):
            continue
        total = sum(
            unassigned[row] if column is None else costs[row, column] for row, column in enumerate(choice)
        )
        if total < FORBIDDEN:
            yield total, tuple(NONE_LAST if column is None else column for column in choice)


def drawn(seed):
    """A small case with many ties: costs 0-3, a third of the pairs forbidden."""
    draw = random.Random(seed)  # noqa: S311 - repeatable cases, no secret
    rows, columns = draw.randint(1, 4), draw.randint(0, 5)
    pick = [0.0, 1.0, 2.0, 3.0, FORBIDDEN, FORBIDDEN]
    costs = np.array([[draw.choice(pick) for _ in range(columns)] for _ in range(rows)]).reshape(
        rows, columns
    )
    return costs, np.array([float(draw.randint(0, 5)) for _ in range(rows)])


@pytest.mark.parametrize("start", range(0, 300, 50))
def test_first_of_the_least_in_300_cases_enumerated(start):
    for seed in range(start, start + 50):
        costs, unassigned = drawn(seed)
        best = min(every_assignment(costs, unassigned))
        found = assign_first(costs, unassigned)
        assert tuple(NONE_LAST if column is None else column for column in found) == best[1], seed
        loose = assign(costs, unassigned)
        total = sum(
            unassigned[row] if column is None else costs[row, column] for row, column in enumerate(loose)
        )
        assert total == best[0], seed


def test_the_caller_keeps_its_costs():
    costs, unassigned = drawn(7)
    before = costs.copy()
    assign_first(costs, unassigned)
    assert np.array_equal(costs, before)


def test_no_rows():
    assert assign_first(np.zeros((0, 3)), np.zeros(0)) == ()


@pytest.mark.parametrize("cost", [0.5, -1.0, -0.5])
def test_costs_that_are_no_whole_numbers_are_refused(cost):
    with pytest.raises(OutOfRange, match=r"^costs of an assignment are whole numbers, none negative$"):
        assign(np.array([[cost]]), np.array([3.0]))


def test_costs_too_large_to_add_exactly_are_refused():
    with pytest.raises(OutOfRange, match=r"^costs of an assignment are too large to be added exactly$"):
        assign(np.array([[1.0], [1.0]]), np.array([2.0**50, 1.0]))
