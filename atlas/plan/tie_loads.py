"""What each surveyed anchor is asked to hold by the lines planned on it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from atlas.plan.context import Context
from atlas.plan.rig_results import AnchorPull
from atlas.plan.track_results import TrackCase
from atlas.rigging.anchors import hold_needed_n

__all__ = ["Tie", "station_pulls", "ties_of"]


@dataclass(frozen=True, slots=True)
class Tie:
    """A surveyed anchor with all that pulls on it.

    Attributes
    ----------
    code : of the reason where it does not hold, ``anchor_track`` or ``anchor_station``
    pull : of all its lines together, as vectors
    needed_n : ultimate hold asked of it [N]
    """

    tag: str
    height_m: float
    code: str
    pull: AnchorPull
    needed_n: float


def station_pulls(case: TrackCase) -> dict[str, AnchorPull]:
    """Pulls by the name of what they pull on."""
    return {pull.stands: pull for pull in case.anchor_pulls}


def _used(context: Context) -> Iterator[tuple[str, str, float, str]]:
    """Name of the pull, tag and height of each surveyed anchor in use, track anchors first, and its code."""
    frame, stations = context.frame, context.stations
    yield "near_tie", frame.track_near_tag, frame.near_tie_height_m, "anchor_track"
    yield "far_tie", frame.track_far_tag, frame.far_tie_height_m, "anchor_track"
    for name, station in (
        ("ferry_near_station", stations.ferry_near),
        ("ferry_far_station", stations.ferry_far),
        ("up_down_station", stations.up_down),
    ):
        if station.tag is not None:
            yield name, station.tag, station.height_m, "anchor_station"


def ties_of(context: Context, case: TrackCase) -> tuple[Tie, ...]:
    """Surveyed anchors with a line on them, those of the track line first, each once."""
    limits, pulls = context.policy.limits, station_pulls(case)
    least_n = {"anchor_track": limits.anchor_track_least, "anchor_station": limits.anchor_station_least}
    ties: dict[str, Tie] = {}
    for name, tag, height_m, code in _used(context):
        if tag not in ties:
            pull = pulls[name]
            needed_n = hold_needed_n(load_n=pull.load_n, ratio=limits.anchor_ratio, least_n=least_n[code])
            ties[tag] = Tie(tag, height_m, code, pull, needed_n)
    return tuple(ties.values())
