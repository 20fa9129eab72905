"""Where faults are collected while a survey is read: each with file, feature, site and field."""

from __future__ import annotations

import dataclasses
import difflib
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from atlas.faults import Fault, Severity

__all__ = ["Report", "nearest"]

_LIKENESS = 0.6
_LONGEST_COMPARED = 60


def nearest(word: str, known: Iterable[str], *, likeness: float = _LIKENESS) -> str | None:
    """The known word most like `word`, if any is like enough."""
    close = difflib.get_close_matches(word[:_LONGEST_COMPARED].lower(), list(known), n=1, cutoff=likeness)
    return close[0] if close else None


@dataclass(frozen=True, slots=True)
class Report:
    """A place in a file, and the list that faults found there go to.

    `at` gives the same list at a narrower place. Dates after `as_of` are faults.
    """

    file: str
    feature: int | None = None
    site: str | None = None
    field: str | None = None
    as_of: date | None = None
    faults: list[Fault] = dataclasses.field(default_factory=list)

    def at(self, *, feature: int | None = None, site: str | None = None, field: str | None = None) -> Report:
        """The same report at a narrower place; what is not given stays."""
        return Report(
            file=self.file,
            feature=self.feature if feature is None else feature,
            site=self.site if site is None else site,
            field=self.field if field is None else field,
            as_of=self.as_of,
            faults=self.faults,
        )

    def inside(self, part: str) -> Report:
        """The same report in a part of the present field."""
        return self.at(field=part if self.field is None else f"{self.field}, {part}")

    def errors_since(self, mark: int) -> bool:
        """Whether the list got anything more than a warning after it held `mark` entries."""
        return any(fault.severity is not Severity.WARNING for fault in self.faults[mark:])

    def error(
        self,
        code: str,
        what: str,
        *,
        got: str | None = None,
        allowed: str | None = None,
        todo: str | None = None,
    ) -> None:
        """Note something that keeps the site from being used."""
        self._add(Severity.ERROR, code, what, (got, allowed, todo))

    def warn(
        self,
        code: str,
        what: str,
        *,
        got: str | None = None,
        allowed: str | None = None,
        todo: str | None = None,
    ) -> None:
        """Note something worth a second look."""
        self._add(Severity.WARNING, code, what, (got, allowed, todo))

    def fail(
        self,
        code: str,
        what: str,
        *,
        got: str | None = None,
        allowed: str | None = None,
        todo: str | None = None,
    ) -> None:
        """Note that the whole file cannot be read."""
        self._add(Severity.FILE, code, what, (got, allowed, todo))

    def _add(
        self, severity: Severity, code: str, what: str, rest: tuple[str | None, str | None, str | None]
    ) -> None:
        got, allowed, todo = rest
        self.faults.append(
            Fault(
                code,
                severity,
                what,
                self.file,
                feature=self.feature,
                site=self.site,
                field=self.field,
                got=got,
                allowed=allowed,
                todo=todo,
            )
        )
