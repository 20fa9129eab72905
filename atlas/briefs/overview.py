"""The first page of a briefing: situation, every site against today's water, agencies, safety message."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from math import isfinite

from atlas.briefs.facts import BriefFacts, asked_stage
from atlas.briefs.pieces import chapter, rows_of, said, text_of, writing_rows
from atlas.briefs.site import level_text
from atlas.cover import Comer
from atlas.paper import Cell
from atlas.paper.flow import Piece, gap
from atlas.paper.press import Press
from atlas.sheets.desk import Desk
from atlas.sheets.limit_level import is_the_planned
from atlas.sheets.stop import is_outside
from atlas.sheets.who_comes import minutes_text
from atlas.units import Figure

__all__ = ["overview_pieces"]


def _incident(press: Press) -> list[Piece]:
    rows = [(press.words(f"brief.incident.{key}"), "") for key in ("name", "time", "command", "objective")]
    return writing_rows(press, "incident", ("what", "written"), rows, widths_mm=(42.0, None))[1:]


def _site_row(press: Press, desk: Desk) -> tuple[str | Cell, ...]:
    plan, words = desk.plan, press.words
    stage, rig = asked_stage(plan), plan.chosen
    outside = not stage.inside or is_outside(rig)
    strong = press.looks.styles["strong"]
    limit = words("sheet.unknown")
    if rig.limit is not None:
        limit = desk.first(Figure.LIMIT_SPEED, rig.limit.surface_speed_m_s)
        if rig.limit.stage_m is not None:
            level = desk.show(Figure.LIMIT_STAGE, rig.limit.stage_m)
            above = is_the_planned(desk, level)
            stage_text = words("brief.limit.above", stage=level.first) if above else level.first
            limit = words("sheet.separator").join((stage_text, limit))
    return (
        Cell(text=plan.site.code, style=strong),
        text_of(press, plan.site.access.name),
        level_text(desk, stage),
        Cell(text=words("brief.sites.outside" if outside else "brief.sites.inside"), style=strong),
        limit,
        _complete_with(press, desk),
    )


def _complete_with(press: Press, desk: Desk) -> str:
    """With whom the site is complete and when, or that it is not."""
    words, cover = press.words, desk.plan.cover
    codes = text_of(press, words("sheet.lines.joined").join(called.agency for called in cover.called))
    minutes = minutes_text(desk, cover.minutes)
    return words("brief.sites.with" if cover.complete else "brief.sites.short", who=codes, minutes=minutes)


def _sites(press: Press, desks: Sequence[Desk]) -> list[Piece]:
    return rows_of(
        press,
        "sites",
        ("site", "name", "level", "verdict", "limit", "complete"),
        [_site_row(press, desk) for desk in desks],
        widths_mm=(16.0, None, 64.0, 18.0, 26.0, 30.0),
    )


def _farthest(desks: Sequence[Desk]) -> Mapping[str, Comer]:
    """Each agency at the site it is farthest from."""
    comers = [comer for desk in desks for comer in desk.plan.comers]
    return {comer.agency.code: comer for comer in sorted(comers, key=lambda comer: comer.minutes)}


def _called(press: Press, count: int, sites: int) -> list[str]:
    """For how many of the sites an agency is called."""
    if not count:
        return []
    return [press.words("brief.agencies.called", count=str(count), sites=str(sites))]


def _agencies(press: Press, facts: BriefFacts, desks: Sequence[Desk]) -> list[Piece]:
    farthest = _farthest(desks)
    first_due = {desk.plan.agency.code for desk in desks}
    bring: defaultdict[str, list[str]] = defaultdict(list)
    called_for: Counter[str] = Counter()
    for desk in desks:
        for called in desk.plan.cover.called:
            bring[called.agency] += (rope.rope for rope in called.ropes)
            called_for[called.agency] += 1
    rows = []
    for agency in sorted(facts.agencies, key=lambda one: (farthest[one.code].minutes, one.code)):
        people = sum(crew.people for crew in agency.crew)
        comer = farthest[agency.code]
        minutes = comer.minutes if isfinite(comer.minutes) else None
        arrives = minutes_text(desks[0], minutes, estimated=comer.estimated)
        parts = [press.words("brief.agencies.first_due")] if agency.code in first_due else []
        parts += _called(press, called_for[agency.code], len(desks)) + list(dict.fromkeys(bring[agency.code]))
        rows.append(
            (
                Cell(text=text_of(press, agency.code), style=press.looks.styles["strong"]),
                text_of(press, agency.name),
                arrives,
                press.first(Figure.PEOPLE_HELD, people),
                text_of(press, ", ".join(parts)),
                "",
            )
        )
    return rows_of(
        press,
        "agencies",
        ("agency", "name", "arrives", "crew", "brings", "checked_in"),
        rows,
        widths_mm=(18.0, 48.0, 18.0, 12.0, None, 24.0),
        pad_mm=0.9,
    )


def overview_pieces(press: Press, desks: Sequence[Desk], facts: BriefFacts) -> list[Piece]:
    """Everything of the first page."""
    pieces = [
        said(press, "brief.asked", "meta", what=facts.asked, date=facts.as_of.isoformat()),
    ]
    if facts.without:
        pieces.append(said(press, "brief.without", "meta_strong", agencies=", ".join(facts.without)))
    return [
        *pieces,
        gap(1.0),
        *chapter(press, "incident_title", _incident(press)),
        *chapter(press, "sites_title", _sites(press, desks)),
        *chapter(press, "agencies_title", _agencies(press, facts, desks)),
        *chapter(press, "message_title", [said(press, "brief.message", "body")]),
        gap(1.5),
        said(press, "brief.statement", "strong"),
    ]
