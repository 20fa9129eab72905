"""Who comes, in a line or two: complete alone or not, whom to call, what each adds, what is short."""

from __future__ import annotations

from atlas.paper.press import Press
from atlas.plan.rig_results import Called, CoverPlan, GearNeed
from atlas.sheets.desk import Desk
from atlas.sheets.figures import unbroken
from atlas.units import Figure

__all__ = ["adds_text", "minutes_text", "short_text", "who_comes_text"]


def minutes_text(desk: Desk | Press, minutes: float | None, *, estimated: bool = False) -> str:
    """Minutes to arrive, marked where they are estimated from the distance; or that they are not known."""
    if minutes is None:
        return desk.words("sheet.cover.minutes_unknown")
    shown = unbroken(desk.first(Figure.MINUTES_TO_ARRIVE, minutes))
    return desk.words("sheet.cover.estimated", minutes=shown) if estimated else shown


def adds_text(desk: Desk, called: Called) -> str:
    """Lines by their tags, pieces of gear, people."""
    words = desk.words
    tags = dict.fromkeys(words(f"sheet.line_tag.{rope.line}") for rope in called.ropes)
    pieces = sum(gear.count for gear in called.gear)
    parts = [
        *([words("sheet.cover.ropes", lines=", ".join(tags))] if tags else []),
        *([words("sheet.cover.gear", count=desk.first(Figure.COUNT, pieces))] if pieces else []),
        *(
            [words("sheet.cover.people", people=desk.first(Figure.PEOPLE_HELD, called.people))]
            if called.people
            else []
        ),
    ]
    return ", ".join(parts)


def _item_short(desk: Desk, need: GearNeed) -> str:
    count, item = desk.first(Figure.COUNT, need.short), desk.words(f"gear.{need.item}")
    return desk.words("sheet.cover.gear_short", count=count, item=item)


def short_text(desk: Desk, cover: CoverPlan) -> str:
    """What is short with all who are called: lines, pieces of gear, people; nothing where nothing is."""
    words = desk.words
    parts = [words(f"line.{line}") for line in cover.lines_short]
    parts += [
        words(
            "sheet.cover.gear_short",
            count=desk.first(Figure.COUNT, need.short),
            item=words(f"gear.{need.item}"),
        )
        for need in desk.plan.chosen.gear
        if need.short
    ]
    if cover.people_short:
        parts.append(words("sheet.cover.people", people=desk.first(Figure.PEOPLE_NEEDED, cover.people_short)))
    return ", ".join(parts)


def _call(desk: Desk, called: Called, *, short: bool) -> str:
    minutes = minutes_text(desk, called.minutes, estimated=called.estimated)
    if short:
        return desk.words("sheet.cover.call_short", agency=called.agency, minutes=minutes)
    return desk.words("sheet.cover.call", agency=called.agency, minutes=minutes, adds=adds_text(desk, called))


def who_comes_text(desk: Desk, *, short: bool = False) -> str:
    """Whom the first due calls, in their order, and when all is there.

    Parameters
    ----------
    short : without what each adds, where the page has no room for it
    """
    words, cover = desk.words, desk.plan.cover
    if cover.first_due_complete:
        return words("sheet.cover.alone", agency=desk.plan.agency.code)
    told = [_call(desk, called, short=short) for called in cover.next_agencies]
    if cover.complete:
        told.append(words("sheet.cover.complete", minutes=minutes_text(desk, cover.minutes)))
    else:
        told.append(words("sheet.cover.short", what=short_text(desk, cover)))
    return "; ".join(told)
