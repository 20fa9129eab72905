"""Entries of one form, gone through box by box: the changes they ask for, and what is amiss with them."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from atlas.editions.resurvey.fields import TAKEN_OUT, last_value, unit_of
from atlas.editions.resurvey.survey_files import RawSite
from atlas.faults import Fault, Severity
from atlas.survey.raw import RawFeature
from atlas.survey.table import PropertyTable
from atlas.units import UnitSystem

__all__ = ["Change", "EntryReader", "Filled"]

_BARE = re.compile(r"[+-]?[0-9]+([.,][0-9]+)?")


@dataclass(frozen=True, slots=True)
class Change:
    """One value that a form or track changes.

    Attributes
    ----------
    feature : its number in the survey file; None for a new feature
    key : of the property; ``geometry``, ``new`` or ``gone`` for a feature as a whole
    old, new : as they are shown; `value` is what is written, None to take the value out
    """

    site: str
    feature: int | None
    key: str
    what: str
    old: str
    new: str
    value: object


@dataclass(frozen=True, slots=True)
class Filled:
    """A form of ours that came back."""

    path: Path
    site: RawSite
    entries: Mapping[str, str]


@dataclass(slots=True)
class EntryReader:
    """Goes through the entries of one form; collects changes and faults."""

    filled: Filled
    units: UnitSystem
    changes: list[Change]
    faults: list[Fault]

    def tell(
        self, code: str, what: str, *, field: str | None = None, got: str | None = None, todo: str
    ) -> None:
        """Note what is amiss."""
        self.faults.append(
            Fault(
                code,
                Severity.ERROR,
                what,
                str(self.filled.path),
                site=self.filled.site.code,
                field=field,
                got=got,
                todo=todo,
            )
        )

    def entry(self, name: str) -> str | None:
        """What stands in a box; None for an empty one."""
        return self.filled.entries.get(name)

    def in_unit(self, table: type[PropertyTable], key: str, text: str) -> object:
        """What is written for an entry: a bare number gets the unit beside its box."""
        if text == TAKEN_OUT:
            return None
        unit = unit_of(table, key, self.units)
        if unit and _BARE.fullmatch(text):
            return f"{text.replace(',', '.')} {unit}"
        return text

    def take(self, table: type[PropertyTable], name: str, key: str, feature: RawFeature, what: str) -> None:
        """Note the change that a box asks for, if it asks for one."""
        text = self.entry(name)
        if text is None:
            return
        raw = feature.properties.get(key)
        value = self.in_unit(table, key, text)
        if value == raw:
            return
        shown = TAKEN_OUT if value is None else str(value)
        old = last_value(table, key, raw) or TAKEN_OUT
        self.changes.append(Change(self.filled.site.code, feature.number, key, what, old, shown, value))
