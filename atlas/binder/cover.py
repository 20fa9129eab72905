"""The cover: county and edition, agencies, what the binder holds, and what it is not."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from atlas.binder.contents import Chapter
from atlas.binder.site_sheet import SiteSheet
from atlas.paper import Cell, Column, Row
from atlas.paper.pieces import Piece, flow, gap, heading, paragraph, table_row
from atlas.paper.press import BoundPage, Press, settable
from atlas.records import Agency
from atlas.units import Figure

__all__ = ["Counts", "count_sites", "cover"]

BLOCK = "cover"


@dataclass(frozen=True, slots=True)
class Counts:
    """How many sites the binder has, and what became of them."""

    inside: int
    outside: int
    not_printed: int

    @property
    def sites(self) -> int:
        """All of them."""
        return self.inside + self.outside + self.not_printed


def count_sites(book: Sequence[Chapter]) -> Counts:
    """Sites by their verdict at the planning stage, as the sheets print it."""
    made = [site for chapter in book for site in chapter.sites]
    printed = [site for site in made if isinstance(site, SiteSheet)]
    outside = sum(site.facts.outside for site in printed)
    return Counts(len(printed) - outside, outside, len(made) - len(printed))


def _minutes(press: Press, agency: Agency) -> str:
    texts = [
        press.words(
            "binder.cover.minutes",
            reach=time.reach,
            minutes=press.first(Figure.MINUTES_TO_ARRIVE, time.minutes),
        )
        for time in agency.minutes
    ]
    return press.words("sheet.separator").join(texts)


def _agency_row(press: Press, agency: Agency) -> Row:
    strong = press.looks.styles["strong"]
    return Row(
        cells=(
            Cell(text=settable(agency.code, press, "strong"), style=strong),
            settable(agency.name, press, "meta"),
            settable(agency.radio or press.words("sheet.unknown"), press, "meta"),
            _minutes(press, agency),
        )
    )


def _agencies(press: Press, agencies: Sequence[Agency]) -> list[Piece]:
    style = press.looks.styles["meta"]
    columns = tuple(Column(style=style, width_mm=width, wraps=True) for width in (18.0, 62.0, 44.0, None))
    column = press.looks.styles["column"]
    names = ("agency", "name", "radio", "arrives")
    head = table_row(
        press,
        columns,
        Row(cells=tuple(Cell(text=press.words(f"binder.cover.{name}"), style=column) for name in names)),
        block=BLOCK,
        keeps_next=True,
    )
    rows = [
        table_row(press, columns, _agency_row(press, agency), block=BLOCK, repeats=head)
        for agency in agencies
    ]
    return [gap(9.0), heading(press, press.words("binder.cover.agencies"), block=BLOCK), head, *rows]


def _spaced(press: Press, texts: Sequence[str], style: str) -> list[Piece]:
    """Paragraphs with a little white over each."""
    return [piece for text in texts for piece in (gap(1.6), paragraph(press, text, style, block=BLOCK))]


def _holds(press: Press, book: Sequence[Chapter], counts: Counts) -> list[Piece]:
    words = press.words
    reaches = sum(chapter.reach is not None for chapter in book)
    lines = [
        words("binder.cover.sites", sites=counts.sites, reaches=reaches),
        words("binder.cover.inside", count=counts.inside),
    ]
    for key in ("outside", "not_printed"):
        count = getattr(counts, key)
        if count:
            lines.append(words(f"binder.cover.{key}", count=count))
    return [
        gap(9.0),
        heading(press, words("binder.cover.holds"), block=BLOCK),
        *_spaced(press, lines, "meta"),
    ]


def cover(
    press: Press, book: Sequence[Chapter], agencies: Sequence[Agency], *, as_of: date
) -> tuple[BoundPage, ...]:
    """The cover; a second page where agencies are many."""
    words = press.words
    name = settable(press.county.name, press, "code")
    pieces = [
        gap(26.0),
        paragraph(press, words("binder.cover.what"), "meta_strong", block=BLOCK),
        gap(2.0),
        paragraph(press, name, "code", block=BLOCK),
        gap(3.0),
        paragraph(press, press.edition, "stop_figure", block=BLOCK),
        *_spaced(press, [words("binder.cover.as_of", date=as_of.isoformat())], "meta"),
        gap(3.0),
        *(_spaced(press, [words("binder.cover.invented")], "name") if press.county.invented else []),
        *_agencies(press, agencies),
        *_holds(press, book, count_sites(book)),
        gap(9.0),
        heading(press, words("binder.cover.before"), block=BLOCK),
        *_spaced(press, [words("binder.cover.statement")], "meta_strong"),
        *_spaced(press, [words(f"binder.cover.{key}") for key in ("discard", "laminate")], "meta"),
    ]
    return flow(press, pieces, title="", label=words("binder.label.cover"), destination="cover", block=BLOCK)
