"""What only shows when all sites of the county are looked at together."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from typing import Final

from atlas.survey.place import distance_km, exchanged
from atlas.survey.report import Report
from atlas.survey.site_draft import Draft

__all__ = ["check_across"]

_COUNTY_KM: Final = 300.0
"""Farther than this from the middle of all other sites, a site is suspected to be in the wrong place."""
_FEWEST_OTHERS: Final = 2


def check_across(drafts: Sequence[tuple[Draft, Report]]) -> None:
    """Tell of sites in two files, and of sites whose longitude and latitude look exchanged."""
    _check_duplicates(drafts)
    _check_places(drafts)


def _check_duplicates(drafts: Sequence[tuple[Draft, Report]]) -> None:
    first: dict[str, Draft] = {}
    for draft, report in drafts:
        other = first.setdefault(draft.code, draft)
        if other is not draft:
            report.error(
                "duplicate_site",
                "the site stands in two files",
                got=f"{other.file} and {draft.file}",
                allowed="all features of a site in one file",
                todo="remove one, or give it a site code of its own",
            )


def _middles_of_others(values: Sequence[float]) -> list[float]:
    """For each value the median of all others, from one sorting: a county may have ten thousand sites."""
    order = sorted(values)
    half, odd = divmod(len(order) - 1, 2)
    found = []
    for value in values:
        rank = bisect_left(order, value)
        low, high = (order[at if at < rank else at + 1] for at in (half - 1 + odd, half))
        found.append(high if odd else (low + high) / 2)
    return found


def _check_places(drafts: Sequence[tuple[Draft, Report]]) -> None:
    placed = [(draft, draft.place, report) for draft, report in drafts if draft.place is not None]
    if len(placed) <= _FEWEST_OTHERS:
        return
    longitudes = _middles_of_others([place[0] for _, place, _ in placed])
    latitudes = _middles_of_others([place[1] for _, place, _ in placed])
    for (draft, place, report), middle in zip(placed, zip(longitudes, latitudes, strict=True), strict=True):
        lies_there = distance_km(place, middle) <= _COUNTY_KM
        would_lie_there = distance_km(exchanged(place), middle) <= _COUNTY_KM
        if would_lie_there and not lies_there:
            draft.framed = False
            report.at(feature=draft.accesses[0].number, field="geometry").error(
                "coordinates_swapped",
                "longitude and latitude are exchanged: the county's other sites lie there",
                got=f"{place[0]:.8g}, {place[1]:.8g}",
                allowed="longitude first, then latitude, in degrees",
                todo="exchange the two numbers of each coordinate",
            )
