"""Sites by agencies: complete alone or short of what, complete with whom, and whose absence hurts most."""

from __future__ import annotations

from collections.abc import Sequence

from atlas.binder.standing import CountyStanding, SiteStanding
from atlas.binder.standing_text import plain_table, short_text
from atlas.paper import Cell
from atlas.paper.pieces import Piece, flow, gap, heading, paragraph
from atlas.paper.press import BoundPage, Press, settable
from atlas.plan.standing import Absence
from atlas.sheets.who_comes import minutes_text

__all__ = ["matrix_pages", "with_whom"]

BLOCK = "matrix"
_AGENCIES_ACROSS = 5
_SITE_MM = 17.0


def with_whom(press: Press, site: SiteStanding) -> str:
    """Who is called, and when the last is there; or that it is short with all of them."""
    words, cover = press.words, site.cover
    codes = words("sheet.lines.joined").join(called.agency for called in cover.called)
    key = "complete" if cover.complete else "short"
    return words(f"binder.cover_matrix.{key}", who=codes, minutes=minutes_text(press, cover.minutes))


def _absence_text(press: Press, absence: Absence) -> str:
    """Without whom, and what is lacking or who comes then."""
    words = press.words
    if not absence.short.complete:
        short = short_text(press, absence.short)
        return words("binder.cover_matrix.absent_short", away=absence.away, short=short)
    who = words("sheet.lines.joined").join(absence.called)
    minutes = minutes_text(press, absence.minutes)
    return words("binder.cover_matrix.absent", away=absence.away, who=who, minutes=minutes)


def _cell(press: Press, site: SiteStanding, agency: str) -> str | Cell:
    """What an agency lacks at a site, in heavier type where it is first due."""
    told = settable(short_text(press, site.shorts[agency]), press, "table")
    return Cell(text=told, style=press.looks.styles["strong"]) if agency == site.first_due else told


def _called(press: Press, standing: CountyStanding) -> list[Piece]:
    rows = [
        (
            Cell(text=site.code, style=press.looks.styles["strong"]),
            settable(site.first_due, press, "table"),
            settable(with_whom(press, site), press, "table"),
            settable(_absence_text(press, site.absences[0]), press, "table") if site.absences else "",
        )
        for site in standing.sites
    ]
    names = [press.words(f"binder.cover_matrix.{name}") for name in ("site", "first_due", "with", "hurts")]
    return plain_table(press, names, rows, widths_mm=(_SITE_MM, 24.0, 60.0, None), block=BLOCK)


def _across(press: Press, standing: CountyStanding, agencies: Sequence[str]) -> list[Piece]:
    rows = [
        (
            Cell(text=site.code, style=press.looks.styles["strong"]),
            *(_cell(press, site, agency) for agency in agencies),
        )
        for site in standing.sites
    ]
    names = [press.words("binder.cover_matrix.site"), *(settable(code, press, "column") for code in agencies)]
    return plain_table(press, names, rows, widths_mm=(_SITE_MM, *(None for _ in agencies)), block=BLOCK)


def matrix_pages(press: Press, standing: CountyStanding) -> tuple[BoundPage, ...]:
    """The matrix, a few agencies at a time, on as many pages as it takes; none without a site."""
    if not standing.sites:
        return ()
    words = press.words
    pieces = [
        paragraph(press, words("binder.cover_matrix.note"), "meta", block=BLOCK),
        gap(4.0),
        heading(press, words("binder.cover_matrix.called"), block=BLOCK),
        *_called(press, standing),
    ]
    codes = [agency.code for agency in standing.agencies]
    for begin in range(0, len(codes), _AGENCIES_ACROSS):
        title = heading(press, words("binder.cover_matrix.lacks"), block=BLOCK)
        pieces += [gap(5.0), title, *_across(press, standing, codes[begin : begin + _AGENCIES_ACROSS])]
    return flow(
        press,
        pieces,
        title=words("binder.cover_matrix.title"),
        label=words("binder.cover_matrix.label"),
        destination="matrix",
        block=BLOCK,
    )
