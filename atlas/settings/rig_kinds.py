"""What each kind of rig asks of its template. A new kind is an entry here and a module in atlas/plan/rigs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

__all__ = ["KINDS", "KindRule"]


@dataclass(frozen=True, slots=True)
class KindRule:
    """Lines that must be there, lines that may be, and cases that must be judged."""

    lines: tuple[str, ...]
    other_lines: tuple[str, ...]
    cases: tuple[str, ...]


KINDS: Final[dict[str, KindRule]] = {
    # a carriage on a line from bank to bank
    "track-line": KindRule(
        lines=("track", "ferry-near", "ferry-far", "up-down", "messenger"),
        other_lines=(),
        cases=("empty", "boat-held"),
    ),
    # lines to the boat's bow from upriver
    "tether": KindRule(
        lines=("bow-near", "bow-far", "messenger"),
        other_lines=("stern-near", "stern-far"),
        cases=("boat-held",),
    ),
}
"""By name. Lines named here take a rope; the launch line is the launcher's own."""
