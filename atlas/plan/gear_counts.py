"""Counts and strengths that the gear of a rig follows from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

__all__ = ["GearFacts"]

_NO_LOADS: Mapping[str, float] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class GearFacts:
    """What is really rigged, counted, and the strength that its loads ask of hardware.

    Attributes
    ----------
    counts : of each thing counted
    asked_n : strength asked by each load, its factor in it [N]; none before the loads are known
    """

    counts: Mapping[str, int]
    asked_n: Mapping[str, float] = field(default_factory=lambda: _NO_LOADS)
