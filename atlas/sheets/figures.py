"""Printed figures taken apart and put together: number and unit, ranges, lists. No rounding here."""

from __future__ import annotations

from datetime import date

from atlas.settings import Words
from atlas.units import Shown


def number_and_unit(shown: str) -> tuple[str, str]:
    """``148 ft`` as ``148`` and ``ft``; a bare number has no unit."""
    number, _, unit = shown.partition(" ")
    return number, unit


def span_of(words: Words, low: str, high: str) -> str:
    """Two figures of one unit as a range, the unit once: ``240-560 lbf``."""
    start, _ = number_and_unit(low)
    return words("sheet.range", **{"from": start, "to": high})


def range_of(words: Words, low: Shown, high: Shown) -> Shown:
    """A range in both units."""
    second = span_of(words, low.second, high.second) if low.second else ""
    return Shown(span_of(words, low.first, high.first), second)


def unbroken(shown: str) -> str:
    """A figure that stays on one line with its unit in running text."""
    return shown.replace(" ", "\N{NO-BREAK SPACE}")


def signed(shown: str) -> str:
    """A figure that may be under zero, with a true minus: a hyphen is lost in laminate."""
    return shown.replace("-", "\N{MINUS SIGN}", 1) if shown.startswith("-") else shown


def date_text(day: date) -> str:
    """ISO 8601: the one form that every agency reads alike."""
    return day.isoformat()
