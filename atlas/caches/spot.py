"""A place in a file: what is found wrong there is told with it."""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import Enum
from typing import Final, Literal

from atlas.faults import Fault, Severity, clean_text
from atlas.units import shown_raw


class Faulty(Enum):
    """What reading gives where there is a fault; the fault is told already."""

    FAULTY = "faulty"


FAULTY: Final = Faulty.FAULTY
IsFaulty = Literal[Faulty.FAULTY]


@dataclass(frozen=True, slots=True)
class Spot:
    """Where in which file, and the list its faults go to.

    Attributes
    ----------
    file : path as the user knows it
    faults : shared by all spots of one reading
    path : tables and key, outermost first
    example : the key as it may be written, told with a fault
    """

    file: str
    faults: list[Fault]
    path: tuple[str, ...] = ()
    example: str | None = None

    def at(self, *names: str, example: str | None = None) -> Spot:
        """A spot further in."""
        return replace(self, path=(*self.path, *names), example=example or self.example)

    def refuse(
        self,
        code: str,
        what: str,
        *,
        got: str | None = None,
        allowed: str | None = None,
        todo: str | None = None,
        severity: Severity = Severity.ERROR,
    ) -> IsFaulty:
        """Tell a fault; without `todo` it shows how the key may be written."""
        self.faults.append(
            Fault(
                code=code,
                severity=severity,
                what=what,
                file=self.file,
                field=", ".join(self.path) or None,
                got=got,
                allowed=allowed,
                todo=todo or (f"write it like: {self.example}" if self.example else None),
            )
        )
        return FAULTY

    def refuse_raw(self, code: str, what: str, raw: object, *, allowed: str | None = None) -> IsFaulty:
        """Tell a fault in what stood in the file."""
        return self.refuse(code, what, got=shown_raw(raw), allowed=allowed)


def numbered(word: str, number: int, name: object) -> str:
    """``rope 3 (Red 200)``: an entry of a list, by its number and, where it has one, its name."""
    label = clean_text(name.strip(), longest=30) if isinstance(name, str) else ""
    return f"{word} {number} ({label})" if label else f"{word} {number}"


def nearest(name: str, known: Iterable[str]) -> str | None:
    """The known name that is most like `name`, whatever its capitals; None where none is like it."""
    by_lower = {each.lower(): each for each in known}
    found = difflib.get_close_matches(name.lower().replace(" ", "_"), by_lower, n=1, cutoff=0.6)
    return by_lower[found[0]] if found else None
