"""What each surveyed anchor is asked to hold by the lines planned on it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

from atlas.frame import Station
from atlas.plan.context import Context
from atlas.rigging.anchors import hold_needed_n

__all__ = ["LineLoads", "Tie", "stations_with_loads", "ties_of"]


@dataclass(frozen=True, slots=True)
class LineLoads:
    """Greatest tension of the lines in one load case [N]; of the up-down line held or hauled."""

    track_n: float
    ferry_near_n: float
    ferry_far_n: float
    up_down_n: float


@dataclass(frozen=True, slots=True)
class Tie:
    """A surveyed anchor with all that pulls on it.

    Attributes
    ----------
    code : of the reason where it does not hold, ``anchor_track`` or ``anchor_station``
    load_n : of all its lines; they are added, which no vector sum exceeds [N]
    needed_n : ultimate hold asked of it [N]
    """

    tag: str
    height_m: float
    code: str
    load_n: float
    needed_n: float


def stations_with_loads(context: Context, loads: LineLoads) -> tuple[tuple[Station, float], ...]:
    """The three stations, surveyed or to be found, each with its line's tension [N]."""
    stations = context.stations
    return (
        (stations.ferry_near, loads.ferry_near_n),
        (stations.ferry_far, loads.ferry_far_n),
        (stations.up_down, loads.up_down_n),
    )


@dataclass(frozen=True, slots=True)
class _Pull:
    """One line on one surveyed anchor."""

    tag: str
    height_m: float
    least_n: float
    code: str
    tension_n: float


def _pulls(context: Context, loads: LineLoads) -> Iterator[_Pull]:
    frame, limits = context.frame, context.policy.limits
    for tag, height_m in (
        (frame.track_near_tag, frame.near_tie_height_m),
        (frame.track_far_tag, frame.far_tie_height_m),
    ):
        yield _Pull(tag, height_m, limits.anchor_track_least, "anchor_track", loads.track_n)
    for station, load_n in stations_with_loads(context, loads):
        if station.tag is not None:
            yield _Pull(station.tag, station.height_m, limits.anchor_station_least, "anchor_station", load_n)


def ties_of(context: Context, loads: LineLoads) -> tuple[Tie, ...]:
    """Surveyed anchors with a line on them, those of the track line first."""
    pulls: dict[str, list[_Pull]] = defaultdict(list)
    for pull in _pulls(context, loads):
        pulls[pull.tag].append(pull)
    ties = []
    for tag, found in pulls.items():
        load_n = sum(pull.tension_n for pull in found)
        needed_n = hold_needed_n(
            load_n=load_n,
            ratio=context.policy.limits.anchor_ratio,
            least_n=max(pull.least_n for pull in found),
        )
        ties.append(Tie(tag, found[0].height_m, found[0].code, load_n, needed_n))
    return tuple(ties)
