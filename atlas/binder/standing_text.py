"""What agencies lack and what may be bought, in words; and plain tables for the pages that say so."""

from __future__ import annotations

from collections.abc import Sequence

from atlas.cover import BoughtRope, Purchase
from atlas.paper import Cell, Column, Row
from atlas.paper.pieces import Piece, table_row
from atlas.paper.press import Press, settable
from atlas.plan.standing import Short
from atlas.units import Figure, UnitSystem, printed

__all__ = ["bought_text", "plain_table", "short_long_text", "short_text"]


def plain_table(
    press: Press,
    names: Sequence[str],
    rows: Sequence[Sequence[str | Cell]],
    *,
    widths_mm: Sequence[float | None],
    block: str,
) -> list[Piece]:
    """A table: names of its columns as printed, and its rows; nothing without rows."""
    if not rows:
        return []
    styles = press.looks.styles
    columns = tuple(Column(style=styles["table"], width_mm=width, wraps=True) for width in widths_mm)
    cells = tuple(Cell(text=name, style=styles["column"]) for name in names)
    head = table_row(press, columns, Row(cells=cells), block=block, keeps_next=True)
    body = [table_row(press, columns, Row(cells=tuple(row)), block=block, repeats=head) for row in rows]
    return [head, *body]


def _item_text(press: Press, item: str, count: int) -> str:
    told = press.first(Figure.COUNT, count)
    return press.words("sheet.cover.gear_short", count=told, item=press.words(f"gear.{item}"))


def _people_text(press: Press, people: int) -> str:
    return press.words("sheet.cover.people", people=press.first(Figure.PEOPLE_NEEDED, people))


def short_text(press: Press, short: Short) -> str:
    """What is lacking, short: lines by their tags, pieces of gear, people; or that nothing is."""
    words = press.words
    if short.complete:
        return words("binder.cover_matrix.alone")
    told = [", ".join(words(f"sheet.line_tag.{line}") for line in short.lines)] if short.lines else []
    if short.pieces:
        told.append(words("sheet.cover.gear", count=press.first(Figure.COUNT, short.pieces)))
    if short.people:
        told.append(_people_text(press, short.people))
    return "; ".join(told)


def short_long_text(press: Press, short: Short) -> str:
    """What is lacking by name."""
    parts = [press.words(f"line.{line}") for line in short.lines]
    parts += [_item_text(press, item, count) for item, count in short.gear]
    if short.people:
        parts.append(_people_text(press, short.people))
    return ", ".join(parts) or press.words("binder.cover_matrix.nothing")


def _rope_text(press: Press, rope: BoughtRope) -> str:
    words, asked = press.words, rope.asked[0]
    most_m = asked.diameter_max_m
    return words(
        "binder.purchase.rope" if most_m is None else "binder.purchase.rope_between",
        length=printed(Figure.NEEDED_LENGTH, rope.length_m, UnitSystem(press.county.units)).both,
        kinds=words("binder.purchase.or").join(words(f"rope_kind.{kind}") for kind in asked.kinds),
        diameter=press.first(Figure.ROPE_DIAMETER, asked.diameter_min_m),
        most="" if most_m is None else press.first(Figure.ROPE_DIAMETER, most_m),
        strength=printed(Figure.STRENGTH_NEEDED, asked.strength_min_n, UnitSystem.SI).first,
    )


def bought_text(press: Press, purchase: Purchase) -> str:
    """Everything of a purchase."""
    words = press.words
    parts = [_rope_text(press, rope) for rope in purchase.ropes]
    for gear in purchase.gear:
        item = _item_text(press, gear.item, gear.count)
        if gear.rating_n is not None:
            rating = printed(Figure.STRENGTH_NEEDED, gear.rating_n, UnitSystem.SI).first
            item = words("binder.purchase.rated", item=item, rating=rating)
        parts.append(item)
    return settable("; ".join(parts), press, "table") or words("binder.purchase.none")
