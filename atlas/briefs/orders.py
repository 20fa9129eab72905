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
from atlas.plan import GearNeed
from atlas.records import PostKind
from atlas.sheets.contingencies import Contingency, contingency_rows
from atlas.sheets.desk import Desk
from atlas.sheets.posts import ordered_posts, post_row
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
    takers = {rope.agency for line in desk.plan.chosen.lines for rope in line.take}
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
    """Assignments, posts, gear, radio, medical, safety; `short` leaves out posts and gear."""
    assignments = chapter(press, "assignments_title", _assignments(press, desk))
    posts = [] if short else chapter(press, "posts_title", _places(press, desk))
    pieces = [beside(assignments, posts, left_mm=92.0, gap_mm=5.0)] if posts else assignments
    if not short:
        pieces += chapter(press, "gear_title", _gear(press, desk))
    pieces += chapter(press, "radio_title", _radio(press, desk, facts))
    pieces += chapter(press, "medical_title", _medical(press, desk))
    pieces += chapter(press, "safety_title", _safety(press, desk))
    pieces += chapter(press, "wrong_title", _wrong(press, desk))
    if short:
        pieces += [gap(1.0), paragraph(press, press.words("brief.left_out"), "small", block=BLOCK)]
    return [*pieces, *chapter(press, "checks_title", _checks(press))]
