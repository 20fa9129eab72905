"""Readers of single values: from what stood in the file to a checked value, or a fault and None."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import Final, Generic, Protocol, TypeVar

from atlas.survey.clean import clean_line
from atlas.survey.json_text import JsonProblem, parse_json
from atlas.survey.report import Report, nearest
from atlas.units import Allowed, Quantity, QuantityProblem, read_quantity, shown_raw

__all__ = ["Choice", "ChoiceSet", "IsoDate", "Measure", "Reader", "Text", "TextList", "from_json_text"]

T_co = TypeVar("T_co", covariant=True)
Word = TypeVar("Word", bound=StrEnum)
_ISO_DATE: Final = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_EARLIEST: Final = date(1950, 1, 1)
_SEVERAL: Final = "; several with commas between"


class Reader(Protocol[T_co]):
    """Reads one value. `expected` says in words what it takes."""

    @property
    def expected(self) -> str:
        """What is accepted, for messages."""

    def read(self, raw: object, report: Report) -> T_co | None:
        """The value, or None with the fault told. `raw` is never None."""


@dataclass(frozen=True, slots=True)
class Text:
    """One line of text."""

    longest: int = 300

    @property
    def expected(self) -> str:
        """What is accepted, for messages."""
        return f"text of at most {self.longest} characters"

    def read(self, raw: object, report: Report) -> str | None:
        """The text, cleaned; None for a blank one, which is the same as none."""
        if not isinstance(raw, str):
            report.error(
                "not_text",
                "something else where text belongs",
                got=shown_raw(raw),
                allowed=self.expected,
                todo='put it in quotes, "like this"',
            )
            return None
        cleaned = clean_line(raw)
        if cleaned.removed:
            report.warn(
                "control_characters",
                f"invisible or control characters taken out: {cleaned.removed}",
                got=shown_raw(raw),
                todo="retype the text without them",
            )
        if len(cleaned.text) > self.longest:
            report.error(
                "text_too_long",
                "the text is too long",
                got=f"{len(cleaned.text)} characters",
                allowed=f"at most {self.longest} characters",
                todo="shorten it to what a crew has to know",
            )
            return None
        return cleaned.text or None


@dataclass(frozen=True, slots=True)
class Measure:
    """A quantity within limits, as a number in its base unit."""

    quantity: Quantity
    allowed: Allowed

    @property
    def expected(self) -> str:
        """What is accepted, for messages."""
        return f"a {self.quantity.value.replace('_', ' ')}"

    def read(self, raw: object, report: Report) -> float | None:
        """The value in the base unit."""
        value = read_quantity(raw, self.quantity, self.allowed)
        if isinstance(value, QuantityProblem):
            report.error(value.code, value.what, got=value.got, allowed=value.allowed, todo=value.todo)
            return None
        return value


def _unknown_word(raw: object, words: list[str], report: Report, *, more: str = "") -> None:
    like = nearest(raw, words) if isinstance(raw, str) else None
    report.error(
        "value_unknown",
        "unknown value",
        got=shown_raw(raw),
        allowed=", ".join(words) + more,
        todo=f"was '{like}' meant?" if like else "choose one of these",
    )


@dataclass(frozen=True, slots=True)
class Choice(Generic[Word]):
    """One word of a list."""

    words: type[Word]

    @property
    def expected(self) -> str:
        """What is accepted, for messages."""
        return " or ".join(word.value for word in self.words)

    def read(self, raw: object, report: Report) -> Word | None:
        """The word."""
        known = [word.value for word in self.words]
        if isinstance(raw, str) and raw.strip() in known:
            return self.words(raw.strip())
        _unknown_word(raw, known, report)
        return None


@dataclass(frozen=True, slots=True)
class ChoiceSet(Generic[Word]):
    """Several words of a list, with commas between."""

    words: type[Word]

    @property
    def expected(self) -> str:
        """What is accepted, for messages."""
        return ", ".join(word.value for word in self.words) + _SEVERAL

    def read(self, raw: object, report: Report) -> frozenset[Word] | None:
        """The words."""
        known = [word.value for word in self.words]
        given = [part.strip() for part in raw.split(",")] if isinstance(raw, str) else []
        unknown = [part for part in given if part not in known]
        if not given or unknown:
            _unknown_word(unknown[0] if unknown else raw, known, report, more=_SEVERAL)
            return None
        return frozenset(self.words(part) for part in given)


@dataclass(frozen=True, slots=True)
class IsoDate:
    """A day as YYYY-MM-DD, not after the as-of date."""

    @property
    def expected(self) -> str:
        """What is accepted, for messages."""
        return "a date like 2026-05-31"

    def read(self, raw: object, report: Report) -> date | None:
        """The day."""
        try:
            day = date.fromisoformat(raw) if isinstance(raw, str) and _ISO_DATE.fullmatch(raw) else None
        except ValueError:
            day = None
        if day is None:
            report.error(
                "not_a_date",
                "not a date",
                got=shown_raw(raw),
                allowed=self.expected,
                todo="write year, month and day",
            )
        elif report.as_of is not None and day > report.as_of:
            report.error(
                "date_in_future",
                "a date after the as-of date",
                got=day.isoformat(),
                allowed=f"up to {report.as_of.isoformat()}",
                todo="correct the date, or the as-of date",
            )
        elif day < _EARLIEST:
            report.error(
                "date_too_early",
                "a date too long ago for a survey",
                got=day.isoformat(),
                allowed=f"from {_EARLIEST.isoformat()}",
                todo="correct the year",
            )
        else:
            return day
        return None


def from_json_text(raw: object, report: Report, *, like: str) -> object | None:
    """A nested value: as it is, or from JSON text where the file can hold nothing else."""
    if not isinstance(raw, str):
        return raw
    value = parse_json(raw) if raw.lstrip().startswith(("[", "{")) else None
    if value is None:
        report.error(
            "nested_as_text",
            "plain text where a list or object belongs",
            got=shown_raw(raw),
            allowed=like,
            todo="write it so",
        )
    elif isinstance(value, JsonProblem):
        report.error(
            "nested_not_json",
            value.what,
            got=shown_raw(raw),
            allowed=f"JSON text like {like}",
            todo=f"correct it at {value.got}",
        )
        return None
    return value


def as_list(raw: object, report: Report, *, like: str, longest: int) -> list[object] | None:
    """A list, or JSON text of one."""
    value = from_json_text(raw, report, like=like)
    if value is None:
        return None
    if not isinstance(value, list):
        report.error(
            "not_a_list",
            "something else where a list belongs",
            got=shown_raw(value),
            allowed=f"a list like {like}",
            todo="put it in square brackets",
        )
        return None
    if len(value) > longest:
        report.error(
            "list_too_long",
            "the list is too long",
            got=f"{len(value)} entries",
            allowed=f"at most {longest} entries",
            todo="keep those that matter",
        )
        return None
    return value


@dataclass(frozen=True, slots=True)
class TextList:
    """A list of short texts."""

    entry: Text = Text()
    longest: int = 50

    @property
    def expected(self) -> str:
        """What is accepted, for messages."""
        return "a list of texts"

    def read(self, raw: object, report: Report) -> tuple[str, ...] | None:
        """The texts; None where one of them could not be read."""
        entries = as_list(raw, report, like='["one thing", "another"]', longest=self.longest)
        if entries is None:
            return None
        read = [self.entry.read(one, report.inside(f"entry {n}")) for n, one in enumerate(entries, start=1)]
        return tuple(text for text in read if text is not None)
