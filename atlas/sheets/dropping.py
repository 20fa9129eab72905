"""Which rows a block may leave out, and in which order: the template says, from first to last."""

from __future__ import annotations

from collections.abc import Sequence


def drop_rank(keys: Sequence[str], drop: Sequence[str]) -> int | None:
    """The place of the first of a row's keys that the template lets drop; None keeps the row."""
    return next((drop.index(key) for key in keys if key in drop), None)


def drop_order(ranks: Sequence[int | None]) -> list[int]:
    """Numbers of the rows that may go, first to go first: by rank, of equal ones the lowest."""
    droppable = [(rank, -number) for number, rank in enumerate(ranks) if rank is not None]
    return [-negative for _, negative in sorted(droppable)]
