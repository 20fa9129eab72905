"""The first page of a briefing: situation, every site against today's water, agencies, safety message."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from atlas.briefs.facts import BriefFacts, asked_stage
from atlas.briefs.pieces import chapter, rows_of, said, text_of, writing_rows
from atlas.briefs.site import level_text
from atlas.paper import Cell
from atlas.paper.flow import Piece, gap
from atlas.paper.press import Press
from atlas.sheets.desk import Desk
from atlas.sheets.stop import is_outside
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
            stage_text = desk.first(Figure.LIMIT_STAGE, rig.limit.stage_m)
            limit = words("sheet.separator").join((stage_text, limit))
    short = [words(f"line.{line.line}") for line in rig.lines if line.short_m > 0]
    takers = dict.fromkeys(rope.agency for line in rig.lines for rope in line.take)
    ropes = words("brief.sites.short", lines=", ".join(short)) if short else ", ".join(takers)
    return (
        Cell(text=plan.site.code, style=strong),
        text_of(press, plan.site.access.name),
        level_text(desk, stage),
        Cell(text=words("brief.sites.outside" if outside else "brief.sites.inside"), style=strong),
        limit,
        ropes or words("sheet.unknown"),
    )


def _sites(press: Press, desks: Sequence[Desk]) -> list[Piece]:
    return rows_of(
        press,
        "sites",
        ("site", "name", "level", "verdict", "limit", "ropes"),
        [_site_row(press, desk) for desk in desks],
        widths_mm=(16.0, None, 64.0, 18.0, 26.0, 30.0),
    )


def _minutes(facts: BriefFacts, desks: Sequence[Desk]) -> Mapping[str, float]:
    """Of each agency to the reach of the sites it is farthest from."""
    reaches = {desk.plan.reach.code for desk in desks}
    return {
        agency.code: max(times)
        for agency in facts.agencies
        if (times := [time.minutes for time in agency.minutes if time.reach in reaches])
    }


def _agencies(press: Press, facts: BriefFacts, desks: Sequence[Desk]) -> list[Piece]:
    minutes = _minutes(facts, desks)
    first_due = {desk.plan.agency.code for desk in desks}
    bring: dict[str, list[str]] = {}
    for desk in desks:
        for line in desk.plan.chosen.lines:
            for rope in line.take:
                bring.setdefault(rope.agency, []).append(rope.rope)
    rows = []
    for agency in sorted(facts.agencies, key=lambda one: (minutes.get(one.code, 1e9), one.code)):
        people = sum(crew.people for crew in agency.crew)
        arrives = (
            press.first(Figure.MINUTES_TO_ARRIVE, minutes[agency.code])
            if agency.code in minutes
            else press.words("sheet.unknown")
        )
        role = press.words("brief.agencies.first_due") if agency.code in first_due else ""
        ropes = ", ".join(dict.fromkeys(bring.get(agency.code, ())))
        rows.append(
            (
                Cell(text=text_of(press, agency.code), style=press.looks.styles["strong"]),
                text_of(press, agency.name),
                arrives,
                press.first(Figure.PEOPLE_HELD, people),
                text_of(press, ropes) if ropes else role or press.words("sheet.unknown"),
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
