"""Where the ferry lines and the up-down line are worked from: surveyed, else placed by policy."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, radians, sin

from atlas.frame.site_frame import PlacedAnchor, Point, SiteFrame
from atlas.records import AnchorUse, Bank

__all__ = ["Station", "Stations", "stations"]

LEVEL_M = 0.5
"""An anchor this near the track line counts as beside it, neither upriver nor downriver [m]."""


@dataclass(frozen=True, slots=True)
class Station:
    """A place a line is worked from.

    Attributes
    ----------
    use : ``ferry`` or ``up_down``
    bank : the bank it is on
    at : x, y in the site's frame [m]
    height_m : over the water of the survey day [m]; of a placed station the height of that bank's
        track tie point, assumed
    surveyed : False for a station placed by policy, to be found on scene
    tag : of the surveyed anchor, None for a placed station
    set_aside : tags of usable anchors surveyed for this use that lie on the wrong side of the track line
    """

    use: AnchorUse
    bank: Bank
    at: Point
    height_m: float
    surveyed: bool
    tag: str | None
    set_aside: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Stations:
    """The three stations of a movable control point."""

    ferry_near: Station
    ferry_far: Station
    up_down: Station


def stations(
    frame: SiteFrame,
    *,
    ferry_upriver_most_m: float = 8.0,
    ferry_upriver_of_span: float = 0.25,
    up_down_downriver_m: float = 8.0,
) -> Stations:
    """Ferry stations of both banks and the near bank's up-down station.

    Parameters
    ----------
    frame : the site
    ferry_upriver_most_m, ferry_upriver_of_span : a placed ferry station stands the lesser of the
        length [m] and the share of the span [1] upriver of its track tie point
    up_down_downriver_m : a placed up-down station stands so far downriver of the near tie point [m]

    Notes
    -----
    Upriver and downriver are along the flow: beside a skewed river a step square to the track line
    would lead into the water. A surveyed anchor serves if it is usable, on that bank and not on the
    wrong side of the track line; one that is not the track tie point itself goes first.
    """
    ferry_m = min(ferry_upriver_most_m, ferry_upriver_of_span * frame.span_m)
    return Stations(
        ferry_near=_station(frame, AnchorUse.FERRY, Bank.NEAR, downriver_m=-ferry_m),
        ferry_far=_station(frame, AnchorUse.FERRY, Bank.FAR, downriver_m=-ferry_m),
        up_down=_station(frame, AnchorUse.UP_DOWN, Bank.NEAR, downriver_m=up_down_downriver_m),
    )


def _station(frame: SiteFrame, use: AnchorUse, bank: Bank, *, downriver_m: float) -> Station:
    """The surveyed anchor for this use and bank, else a place so far along the flow from the tie point."""
    side = 1.0 if downriver_m > 0.0 else -1.0
    usable = [
        anchor
        for anchor in frame.anchors
        if use in anchor.uses and anchor.bank is bank and not anchor.do_not_use
    ]
    serving = [anchor for anchor in usable if side * anchor.at[1] >= -LEVEL_M]
    set_aside = tuple(anchor.tag for anchor in usable if anchor not in serving)
    chosen = _first(serving, tie_tag=frame.track_near_tag if bank is Bank.NEAR else frame.track_far_tag)
    if chosen is not None:
        return Station(
            use, bank, chosen.at, chosen.height_m, surveyed=True, tag=chosen.tag, set_aside=set_aside
        )
    return Station(
        use,
        bank,
        _along_flow(frame, bank, downriver_m=downriver_m),
        frame.near_tie_height_m if bank is Bank.NEAR else frame.far_tie_height_m,
        surveyed=False,
        tag=None,
        set_aside=set_aside,
    )


def _first(serving: Sequence[PlacedAnchor], *, tie_tag: str) -> PlacedAnchor | None:
    """The first that is not the track tie point, else the tie point if it serves, else None."""
    apart = [anchor for anchor in serving if anchor.tag != tie_tag]
    return next(iter(apart or serving), None)


def _along_flow(frame: SiteFrame, bank: Bank, *, downriver_m: float) -> Point:
    """A step along the flow from the bank's track tie point."""
    tie_x_m = 0.0 if bank is Bank.NEAR else frame.span_m
    skew = radians(frame.skew_deg)
    return (tie_x_m + downriver_m * sin(skew), downriver_m * cos(skew))
