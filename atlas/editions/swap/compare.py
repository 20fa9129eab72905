"""Two editions held against each other: which pages to take out, put in and replace, and why."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

import pypdfium2

from atlas.editions.read import Edition, PageEntry
from atlas.editions.swap.reasons import fact_reasons, policy_changes, policy_reasons, text_reasons
from atlas.editions.swap.workings import Part, read_workings
from atlas.faults import Fault, InputFaults, Severity, UsageError, clean_text
from atlas.settings import Words
from atlas.units import UnitSystem

__all__ = ["Change", "Overdue", "Step", "Swap", "compare"]


class Step(StrEnum):
    """What to do at the binder."""

    OUT = "out"
    IN = "in"
    REPLACE = "replace"


@dataclass(frozen=True, slots=True)
class Change:
    """One page to turn to.

    Attributes
    ----------
    label : what stands at its foot
    kind : of the page that goes in, or of the one that goes: ``around``, ``sheet``, ``not_printed``
    name : of the site, where it has one
    behind : label of the page before it in the new binder; None at its beginning, and of one taken out
    """

    step: Step
    label: str
    kind: str
    name: str | None
    behind: str | None
    reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Overdue:
    """A survey that is no longer valid on the day of the new edition."""

    code: str
    name: str
    surveyed: date
    valid_until: date
    months: int


@dataclass(frozen=True, slots=True)
class Swap:
    """All that is to be done. `changes` in the order of the binder; `policy` is what holds for all sheets."""

    old: Edition
    new: Edition
    changes: tuple[Change, ...]
    policy: tuple[str, ...]
    overdue: tuple[Overdue, ...]

    @property
    def to_print(self) -> tuple[Change, ...]:
        """Pages that go in."""
        return tuple(change for change in self.changes if change.step is not Step.OUT)


def _order(old: Edition, new: Edition) -> list[str]:
    """Labels of both editions in the order of the binder: those that are gone where they stood."""
    after: dict[str | None, list[str]] = {}
    there = {page.label for page in new.pages}
    last: str | None = None
    for page in old.pages:
        if page.label in there:
            last = page.label
        else:
            after.setdefault(last, []).append(page.label)
    order = list(after.get(None, ()))
    for page in new.pages:
        order += [page.label, *after.get(page.label, ())]
    return order


def _workings(edition: Edition, page: PageEntry) -> Part:
    return read_workings(edition.place / (page.workings or ""))


def _lines(edition: Edition, page: PageEntry) -> list[str]:
    """The text of a sheet, line by line as it is drawn."""
    path = edition.place / page.path
    try:
        document = pypdfium2.PdfDocument(path.read_bytes())
    except (OSError, pypdfium2.PdfiumError) as cause:
        why = cause.strerror if isinstance(cause, OSError) else None
        told = f"the sheet cannot be read: {(why or 'it is no PDF').lower()}"
        todo = "print that edition again, or name another folder"
        raise InputFaults([Fault("sheet_broken", Severity.FILE, told, str(path), todo=todo)]) from None
    try:
        return [clean_text(line.strip()) for line in document[0].get_textpage().get_text_range().splitlines()]
    finally:
        document.close()


@dataclass(frozen=True, slots=True)
class _Comparison:
    old: Edition
    new: Edition
    words: Words
    policy: Mapping[str, str]

    def reasons(self, before: PageEntry, after: PageEntry) -> tuple[str, ...]:
        """Why a page that is in both editions reads differently."""
        if after.kind == "not_printed":
            return (self.words("swap.reason.not_printed"),)
        if before.kind == "not_printed":
            return (self.words("swap.reason.printed_again"),)
        told = []
        if self.old.paper != self.new.paper:
            told.append(self.words("swap.reason.paper", old=self.old.paper, new=self.new.paper))
        if before.kind == "sheet":
            told += self._of_sheet(before, after)
        return tuple(dict.fromkeys(told))

    def _of_sheet(self, before: PageEntry, after: PageEntry) -> list[str]:
        old, new = _workings(self.old, before), _workings(self.new, after)
        figures, texts = fact_reasons(old, new, self.words, UnitSystem(self.new.units))
        told = [*figures, *policy_reasons(self.policy, old, new), *texts]
        if not told:
            edition = [
                self.words("sheet.foot.edition", edition=page.changed_in or "") for page in (before, after)
            ]
            lines = [
                [line.replace(stamp, "") for line in _lines(at, page)]
                for at, page, stamp in zip((self.old, self.new), (before, after), edition, strict=True)
            ]
            told += text_reasons(self.words, *lines)
        return told or [*self.policy.values()] or [self.words("swap.reason.drawn")]

    def change(self, before: PageEntry | None, after: PageEntry | None, behind: str | None) -> Change | None:
        if after is None and before is not None:
            gone = self.words("swap.reason.gone") if before.kind != "around" else ""
            return Change(Step.OUT, before.label, before.kind, before.name, None, tuple(filter(None, [gone])))
        if after is None:
            return None
        if before is None:
            new = self.words("swap.reason.new") if after.kind == "sheet" else ""
            told = self.words("swap.reason.not_printed") if after.kind == "not_printed" else new
            return Change(Step.IN, after.label, after.kind, after.name, behind, tuple(filter(None, [told])))
        if before.digest == after.digest and before.kind == after.kind:
            return None
        return Change(Step.REPLACE, after.label, after.kind, after.name, behind, self.reasons(before, after))


def _months(begin: date, end: date) -> int:
    """Whole months between two days."""
    return (end.year - begin.year) * 12 + end.month - begin.month - (end.day < begin.day)


def _day(text: str | None) -> date | None:
    try:
        return None if text is None else date.fromisoformat(text)
    except ValueError:
        return None


def _overdue(new: Edition) -> tuple[Overdue, ...]:
    found = []
    for page in new.sheets.values():
        surveyed, until, name = page.surveyed, page.valid_until, page.name
        if surveyed is None or until is None:  # an older schema: it stands in the workings
            site = _workings(new, page)
            survey = site.part("survey")
            name = site.text("name")
            surveyed = None if survey is None else _day(survey.text("surveyed"))
            until = None if survey is None else _day(survey.text("valid_until"))
        if surveyed is not None and until is not None and until < new.as_of:
            found.append(Overdue(page.label, name or "", surveyed, until, _months(surveyed, new.as_of)))
    return tuple(found)


def compare(old: Edition, new: Edition, words: Words) -> Swap:
    """Everything that differs between two editions of a county.

    Raises
    ------
    UsageError
        They are of two counties.
    InputFaults
        Workings that are needed for a reason are damaged.
    """
    if old.county != new.county:
        told = " and ".join(f"{edition.place} is of {edition.county}" for edition in (old, new))
        raise UsageError(f"{told}; name two editions of one county")
    policy = policy_changes(old, new, words)
    comparison = _Comparison(old, new, words, policy)
    before = {page.label: page for page in old.pages}
    after = {page.label: page for page in new.pages}
    found: list[Change] = []
    last: str | None = None
    for label in _order(old, new):
        change = comparison.change(before.get(label), after.get(label), last)
        if change is not None:
            found.append(change)
        if label in after:
            last = label
    return Swap(old, new, tuple(found), tuple(policy.values()), _overdue(new))
