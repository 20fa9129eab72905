"""Sites computed together, and what is left where one of them cannot be."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TypeVar

from atlas.faults import EngineeringError
from atlas.plan.context import Context

__all__ = ["in_halves"]

Planned = TypeVar("Planned")


def in_halves(
    compute: Callable[[Sequence[Context]], Sequence[Planned]], contexts: Sequence[Context]
) -> list[Planned | EngineeringError]:
    """A batch; where it cannot be computed, its halves, down to the sites that spoil it."""
    if not contexts:
        return []
    try:
        return list(compute(contexts))
    except EngineeringError as error:
        if len(contexts) == 1:
            return [error]
    half = len(contexts) // 2
    return in_halves(compute, contexts[:half]) + in_halves(compute, contexts[half:])
