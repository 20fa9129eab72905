"""Limits used: every policy value that decided at any site, then every other value of the policy."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from atlas.binder.contents import Chapter
from atlas.binder.site_sheet import SiteSheet
from atlas.paper import Cell, Column, Row
from atlas.paper.pieces import Piece, flow, gap, heading, paragraph, table_row
from atlas.paper.press import BoundPage, Press, settable
from atlas.plan import LimitUsed
from atlas.settings import Policy
from atlas.settings.policy import as_written
from atlas.units import Figure, UnitSystem, printed

__all__ = ["limits_decided", "limits_pages", "value_text"]

BLOCK = "limits"
_WIDTHS_MM = (66.0, 34.0, None)


def limits_decided(book: Sequence[Chapter]) -> tuple[LimitUsed, ...]:
    """Limits that took part in a verdict of any site, each value once, in the order first met."""
    sheets = [made.facts for chapter in book for made in chapter.sites if isinstance(made, SiteSheet)]
    return tuple(dict.fromkeys(limit for facts in sheets for limit in facts.limits_used))


def _figure(key: str, unit: str) -> Figure | None:
    """Which printed figure a limit with a unit is: what is held rounds down, what is asked up."""
    if unit == "kN":
        return Figure.STRENGTH_HELD if key.startswith("capture.") else Figure.STRENGTH_NEEDED
    return Figure.CLEARANCE_NEEDED if unit == "m" else None


def value_text(press: Press, key: str, value: float, unit: str) -> str:
    """A limit as it is printed: in both systems where it has a unit that crews read."""
    figure = _figure(key, unit)
    if figure is None:
        return _entry_text(press, value, unit)
    return printed(figure, value, UnitSystem(press.county.units)).both


def _name(press: Press, key: str) -> str:
    """What a limit is called; without a name in the wording, its key in words."""
    for wording in (f"binder.policy.{key}", f"binder.limit.{key.rsplit('.', 1)[-1]}"):
        if press.words.has(wording):
            return press.words(wording)
    return settable(key.replace(".", ", ").replace("_", " "), press, "body")


def _table(press: Press, title: str, rows: Iterable[tuple[str, str, str]]) -> list[Piece]:
    styles = press.looks.styles
    columns = tuple(Column(style=styles["body"], width_mm=width, wraps=True) for width in _WIDTHS_MM)
    names = ("limit", "value", "source")
    cells = tuple(Cell(text=press.words(f"binder.limits.{name}"), style=styles["column"]) for name in names)
    head = table_row(press, columns, Row(cells=cells), block=BLOCK, keeps_next=True)
    body = [table_row(press, columns, Row(cells=row), block=BLOCK, repeats=head) for row in rows]
    return [gap(5.0), heading(press, title, block=BLOCK), head, *body] if body else []


def _entry_text(press: Press, entry: float | bool, unit: str) -> str:  # noqa: FBT001 -- a switch is a value here
    if isinstance(entry, bool):
        return press.words("binder.limits.yes" if entry else "binder.limits.no")
    return f"{as_written(entry, unit):.6g} {unit}".rstrip()


def _policy_rows(press: Press, policy: Policy, without: frozenset[str]) -> Iterable[tuple[str, str, str]]:
    """Every other value as the policy's file writes it."""
    for key, provenance in policy.provenance.items():
        if key in without:
            continue
        yield (
            _name(press, key),
            _entry_text(press, policy.entry(key), provenance.unit),
            settable(provenance.source, press, "body"),
        )


def limits_pages(press: Press, book: Sequence[Chapter], policy: Policy) -> tuple[BoundPage, ...]:
    """The limits, on as many pages as they take."""
    words = press.words
    decided = limits_decided(book)
    rows = [
        (
            _name(press, limit.key),
            value_text(press, limit.key, limit.value, limit.unit),
            settable(limit.source, press, "body"),
        )
        for limit in decided
    ]
    # a device's own rating stands in for the policy's figure, which is then listed with the rest
    shown = frozenset(limit.key for limit in decided if limit.value == policy.value_of(limit.key))
    pieces = [
        paragraph(press, words("binder.limits.note"), "meta", block=BLOCK),
        *_table(press, words("binder.limits.decided"), rows),
        *_table(press, words("binder.limits.others"), _policy_rows(press, policy, shown)),
    ]
    return flow(
        press,
        pieces,
        title=words("binder.limits.title"),
        label=words("binder.label.limits"),
        destination="limits",
        block=BLOCK,
    )
