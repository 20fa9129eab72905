"""Seasons of a reach: days a month outside plan at each of its gauged sites, as twelve bars."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from atlas.binder.contents import Chapter
from atlas.binder.site_sheet import SiteSheet
from atlas.paper import Align, Box, Item, LaidOut, Rect
from atlas.paper.pieces import Piece, flow, gap, heading, paragraph
from atlas.paper.press import BoundPage, Press, settable
from atlas.units import Figure
from atlas.workings.gauge_facts import GaugeFacts

__all__ = ["seasons_pages", "seasons_place"]

BLOCK: Final = "seasons"
_MONTHS: Final = 12
_MONTH_DAYS: Final = 31.0
_BARS_MM: Final = 26.0
_OVER_MM, _UNDER_MM = 4.5, 4.6
_BAR_SHARE: Final = 0.62
"""Of a bar's twelfth of the width."""


def seasons_place(reach: str) -> str:
    """Name of the destination of a reach's seasons."""
    return f"seasons {reach}"


@dataclass(frozen=True, slots=True)
class _Season:
    """A site whose days a month are known."""

    code: str
    name: str
    facts: GaugeFacts
    days: tuple[float | None, ...]
    years: int


def _season(made: SiteSheet) -> _Season | None:
    facts = made.facts.gauge
    if facts is None or facts.seasons is None or all(days is None for days in facts.seasons.days):
        return None
    return _Season(made.code, made.facts.name, facts, facts.seasons.days, facts.seasons.years)


def _bar(press: Press, box: Box, days: float | None, *, month: str, strong: bool) -> list[Item]:
    """One month: its bar from the foot of the box, its days over it, its name under it."""
    foot_mm = box.bottom_mm
    height_mm = box.height_mm * (days or 0.0) / _MONTH_DAYS
    width_mm = box.width_mm * _BAR_SHARE
    bar = Box(
        left_mm=box.centre[0] - width_mm / 2,
        top_mm=foot_mm - height_mm,
        width_mm=width_mm,
        height_mm=height_mm,
    )
    middle = box.centre[0]
    told = press.words("sheet.unknown") if days is None else press.first(Figure.DAYS_OUTSIDE, days)
    items: list[Item] = [
        *press.line(told, "strong", x_mm=middle, y_mm=bar.top_mm - 1.0, block=BLOCK, align=Align.CENTRE),
        *press.line(month, "label", x_mm=middle, y_mm=foot_mm + 3.4, block=BLOCK, align=Align.CENTRE),
    ]
    if height_mm > 0.0:
        fill = press.looks.colours["ink" if strong else "land"]
        items.append(Rect(box=bar, fill=fill, stroke=press.looks.strokes["hairline"], block=BLOCK))
    return items


def _bars_piece(press: Press, season: _Season, not_count_on: float) -> Piece:
    """Twelve bars over a rule."""

    def lay(box: Box) -> LaidOut:
        items: list[Item] = [press.rule(box, box.top_mm + _OVER_MM + _BARS_MM, stroke="rule", block=BLOCK)]
        for number, days in enumerate(season.days):
            twelfth = Box(
                left_mm=box.left_mm + number * box.width_mm / _MONTHS,
                top_mm=box.top_mm + _OVER_MM,
                width_mm=box.width_mm / _MONTHS,
                height_mm=_BARS_MM,
            )
            month = press.words(f"binder.seasons.month_{number + 1}")
            strong = days is not None and days >= not_count_on
            items += _bar(press, twelfth, days, month=month, strong=strong)
        return LaidOut(items=tuple(items), height_mm=_OVER_MM + _BARS_MM + _UNDER_MM, dropped=0)

    return Piece(lay, keeps_next=True)


def _months(press: Press, numbers: Sequence[int]) -> str:
    names = [press.words(f"binder.seasons.month_{number + 1}") for number in numbers]
    return ", ".join(names) or press.words("binder.seasons.none")


def _when(press: Press, season: _Season, not_count_on: float) -> str:
    """When to train there, and when not to count on it."""
    known = [(number, days) for number, days in enumerate(season.days) if days is not None]
    least = min(days for _, days in known)
    return press.words(
        "binder.seasons.when",
        train=_months(press, [number for number, days in known if days <= least]),
        least=press.first(Figure.DAYS_OUTSIDE, least),
        avoid=_months(press, [number for number, days in known if days >= not_count_on]),
        most=f"{not_count_on:g}",
    )


def _pieces(press: Press, season: _Season, not_count_on: float) -> list[Piece]:
    facts, words = season.facts, press.words
    title = words("binder.seasons.site", code=season.code, name=settable(season.name, press, "meta_strong"))
    told = words(
        "binder.seasons.from",
        gauge=settable(facts.record.name, press, "meta"),
        stage=press.first(Figure.LIMIT_STAGE, facts.limit_stage_m or 0.0),
        flow=press.first(Figure.LIMIT_DISCHARGE, facts.limit_m3_s or 0.0),
        years=str(season.years),
    )
    return [
        heading(press, title, block=BLOCK),
        paragraph(press, told, "meta", block=BLOCK, keeps_next=True),
        _bars_piece(press, season, not_count_on),
        paragraph(press, _when(press, season, not_count_on), "body", block=BLOCK),
        gap(5.0),
    ]


def seasons_pages(press: Press, chapter: Chapter, *, not_count_on: float) -> tuple[BoundPage, ...]:
    """Seasons of one reach; none where no site of it has a gauge with a limit and daily flows.

    Parameters
    ----------
    not_count_on : days a month outside plan from which a site is not counted on
    """
    reach = chapter.reach
    found = [_season(made) for made in chapter.sites if isinstance(made, SiteSheet)]
    seasons = [season for season in found if season is not None]
    if reach is None or not seasons:
        return ()
    pieces = [paragraph(press, press.words("binder.seasons.note"), "meta", block=BLOCK), gap(3.0)]
    for season in seasons:
        pieces += _pieces(press, season, not_count_on)
    return flow(
        press,
        pieces,
        title=press.words("binder.seasons.title", code=reach.code, name=settable(reach.name, press, "name")),
        label=press.words("binder.seasons.label", code=reach.code),
        destination=seasons_place(reach.code),
        block=BLOCK,
    )
