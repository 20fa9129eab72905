"""Records of older editions brought to today's schema: one module a step, each tested on a frozen one."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

from atlas.editions.migrate.from_1 import from_1

__all__ = ["STEPS", "migrated"]

Record = dict[str, object]

STEPS: Mapping[int, Callable[[Record], Record]] = MappingProxyType({1: from_1})
"""By the schema that a step begins with; it ends with the next."""


def migrated(record: Record, *, schema: int, to: int) -> Record:
    """A record of an older schema as one of the schema `to`; it is not changed itself."""
    for step in range(schema, to):
        record = STEPS[step](record)
    return record
