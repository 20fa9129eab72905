"""One site, second half of its briefing: resources, assignments, radio, medical, safety message.

The parts are those of the incident command system's forms: assignment list (ICS 204), radio plan (205),
medical plan (206), safety message (208), check-in (211); FEMA NIMS.
"""

from __future__ import annotations

from itertools import groupby

from atlas.briefs.facts import BriefFacts
from atlas.briefs.pieces import BLOCK, chapter, rows_of, text_of, writing_rows
from atlas.frame import usng
from atlas.paper import Cell, Span
from atlas.paper.flow import Piece, beside, gap
from atlas.paper.pieces import paragraph
from atlas.paper.press import Press, settable
from atlas.plan import Called, GearNeed
from atlas.records import PostKind
from atlas.sheets.contingencies import Contingency, contingency_rows
from atlas.sheets.desk import Desk
from atlas.sheets.posts import ordered_posts, post_row
from atlas.sheets.who_comes import minutes_text, short_text
from atlas.units import Figure, UnitSystem, printed

__all__ = ["order_pieces"]


def _gear_text(press: Press, need: GearNeed) -> str:
    words = press.words
    rating = ""
    if need.rating_n is not None:
        rating = printed(Figure.STRENGTH_NEEDED, need.rating_n, UnitSystem.SI).first
    short = words("brief.gear.short", count=need.short) if need.short else ""
    return words(
        "brief.gear.item", count=need.needed, item=words(f"gear.{need.item}"), rating=rating, short=short
    ).strip()


def _gear(press: Press, desk: Desk) -> list[Piece]:
    """Hardware in one paragraph, what is short told at each."""
    texts = [_gear_text(press, need) for need in desk.plan.chosen.gear]
    if not texts:
        return []
    return [paragraph(press, press.words("sheet.separator").join(texts), "small", block=BLOCK)]


def _items(press: Press, called: Called) -> str:
    """Hardware by which an agency makes the rig less short."""
    texts = [
        press.words("brief.resources.item", count=str(gear.count), item=press.words(f"gear.{gear.item}"))
        for gear in called.gear
    ]
    return ", ".join(texts) or press.words("sheet.unknown")


def _lines_of(press: Press, called: Called) -> str:
    """Ropes an agency brings, by the tags of their lines."""
    texts = [
        press.words("brief.resources.rope", tag=press.words(f"sheet.line_tag.{rope.line}"), rope=rope.rope)
        for rope in called.ropes
    ]
    return ", ".join(texts) or press.words("sheet.unknown")


def _resource_row(press: Press, desk: Desk, called: Called) -> tuple[str | Cell, ...]:
    return (
        Cell(text=text_of(press, called.agency), style=press.looks.styles["strong"]),
        minutes_text(desk, called.minutes, estimated=called.estimated),
        text_of(press, _lines_of(press, called)),
        _items(press, called),
        press.words(
            "brief.resources.of",
            people=desk.first(Figure.PEOPLE_HELD, called.people),
            on_duty=desk.first(Figure.PEOPLE_HELD, called.on_duty),
        ),
        "",
    )


def _resources(press: Press, desk: Desk) -> list[Piece]:
    """Who comes with what (ICS 211: with room for the time of check-in), the last piece, what is short."""
    cover, words = desk.plan.cover, press.words
    rows = [_resource_row(press, desk, called) for called in cover.called]
    table = rows_of(
        press,
        "resources",
        ("agency", "arrives", "ropes", "gear", "people", "checked_in"),
        rows,
        widths_mm=(14.0, 19.0, 48.0, None, 17.0, 20.0),
    )
    if cover.complete:
        told = words("brief.resources.complete", minutes=minutes_text(desk, cover.minutes))
    else:
        told = words(
            "brief.resources.short",
            what=short_text(desk, cover),
            minutes=minutes_text(desk, cover.minutes),
        )
    return [*table, gap(0.8), paragraph(press, settable(told, press, "strong"), "strong", block=BLOCK)]


def _assignments(press: Press, desk: Desk) -> list[Piece]:
    """People by post, with a blank for who takes it."""
    words, strong = press.words, press.looks.styles["strong"]
    rows = [
        (
            words(f"crew.{post.post}"),
            Cell(text=desk.first(Figure.PEOPLE_NEEDED, post.people), style=strong),
            desk.first(Figure.PEOPLE_NEEDED, post.least),
            "",
        )
        for post in desk.plan.chosen.crew
    ]
    return rows_of(
        press,
        "assignments",
        ("post", "people", "least", "who"),
        rows,
        widths_mm=(36.0, 12.0, 10.0, None),
        right=(1, 2),
        pad_mm=0.9,
    )


def _places(press: Press, desk: Desk) -> list[Piece]:
    rows = [post_row(desk, post) for post in ordered_posts(desk)]
    return rows_of(
        press,
        "posts",
        ("post", "grid", "distance"),
        rows,
        widths_mm=(38.0, 17.0, None),
        right=(2,),
    )


def _radio(press: Press, desk: Desk, facts: BriefFacts) -> list[Piece]:
    """The site's channel, each agency's, and whom else to ring."""
    access, words = desk.plan.site.access, press.words
    rows: list[tuple[str, str, str]] = [
        (words("brief.radio.site"), text_of(press, access.radio or desk.plan.agency.radio or ""), "")
    ]
    takers = {called.agency for called in desk.plan.cover.called}
    rows += [
        (text_of(press, agency.name), text_of(press, agency.radio or ""), "")
        for agency in facts.agencies
        if agency.code in takers and agency.radio
    ]
    if access.dam is not None and access.dam.phone:
        rows.append((text_of(press, access.dam.name), text_of(press, access.dam.phone), ""))
    return rows_of(
        press, "radio", ("who", "channel", "given"), rows, widths_mm=(62.0, 50.0, None), pad_mm=0.8
    )


def _medical(press: Press, desk: Desk) -> list[Piece]:
    plan, words = desk.plan, press.words
    rows = [(words("brief.medical.care"), text_of(press, plan.site.access.medical or ""))]
    rows += [
        (words(f"sheet.post.{post.kind.value}"), usng(post.place))
        for post in plan.posts
        if post.kind in {PostKind.MEDICAL, PostKind.HELICOPTER}
    ]
    rows += [(words("brief.medical.ambulance"), "")]
    return rows_of(press, "medical", ("what", "where"), rows, widths_mm=(40.0, None), pad_mm=0.8)


def _safety(press: Press, desk: Desk) -> list[Piece]:
    """Cautions by signal word, most serious first, and the site's dangers."""
    pieces: list[Piece] = []
    for signal, group in groupby(desk.plan.cautions, key=lambda caution: caution.signal):
        texts = "  • ".join(settable(caution.text, press, "small") for caution in group)
        pieces += rows_of(
            press,
            "safety",
            ("", ""),
            [(Cell(text=(Span(signal, press.looks.styles["strong"]),)), texts)],
            widths_mm=(20.0, None),
        )[1:]
    dangers = [*desk.plan.site.access.dangers]
    if dangers:
        text = press.words("brief.safety.dangers", list="; ".join(dangers))
        pieces.append(paragraph(press, settable(text, press, "small"), "small", block=BLOCK))
    return pieces


def _acts(press: Press, row: Contingency) -> tuple[Span, ...]:
    """Who acts, what first, and the figures that go with it."""
    strong, table = press.looks.styles["table_strong"], press.looks.styles["table"]
    spans = (Span(f"{row.who} ", strong), Span(row.first, table))
    return (*spans, Span(f" {row.figures}", strong if row.grave else table)) if row.figures else spans


def _wrong(press: Press, desk: Desk) -> list[Piece]:
    strong = press.looks.styles["strong"]
    rows = [
        (
            Cell(text=row.what, style=strong),
            Cell(text=_acts(press, row)),
        )
        for row in contingency_rows(desk)
    ]
    return rows_of(press, "wrong", ("what", "first"), rows, widths_mm=(46.0, None))


def _checks(press: Press) -> list[Piece]:
    rows = [(press.words(f"brief.checks.{key}"), "", "") for key in ("anchors", "lock_off", "link")]
    return writing_rows(press, "checks", ("what", "initials", "time"), rows, widths_mm=(60.0, 60.0, None))


def order_pieces(press: Press, desk: Desk, facts: BriefFacts, *, short: bool) -> list[Piece]:
    """Resources, assignments, posts, gear, radio, medical, safety; `short` leaves out posts and gear."""
    resources = chapter(press, "resources_title", _resources(press, desk))
    assignments = chapter(press, "assignments_title", _assignments(press, desk))
    posts = [] if short else chapter(press, "posts_title", _places(press, desk))
    pieces = [beside(assignments, posts, left_mm=92.0, gap_mm=5.0)] if posts else assignments
    pieces = [*resources, *pieces]
    if not short:
        pieces += chapter(press, "gear_title", _gear(press, desk))
    pieces += chapter(press, "radio_title", _radio(press, desk, facts))
    pieces += chapter(press, "medical_title", _medical(press, desk))
    pieces += chapter(press, "safety_title", _safety(press, desk))
    pieces += chapter(press, "wrong_title", _wrong(press, desk))
    if short:
        pieces += [gap(1.0), paragraph(press, press.words("brief.left_out"), "small", block=BLOCK)]
    return [*pieces, *chapter(press, "checks_title", _checks(press))]
