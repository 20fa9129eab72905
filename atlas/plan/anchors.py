"""Tie points and stations with what is asked of them at the planning stage."""

from __future__ import annotations

from collections import defaultdict

from atlas.frame import PlacedAnchor, Station
from atlas.plan.anchor_rating import rated_hold_n
from atlas.plan.context import Context
from atlas.plan.places import lonlat_of
from atlas.plan.results import AnchorPlan, Note, StageResult
from atlas.records import Anchor
from atlas.rigging.anchors import hold_needed_n

__all__ = ["anchor_plans"]

# An anchor's load by use, and the least hold asked of it: track anchors stand more.
_Asked = tuple[float, float]


def _asked(context: Context, planning: StageResult) -> dict[str, list[_Asked]]:
    """(load [N], least hold [N]) of each surveyed anchor that a line is planned on, by tag."""
    limits = context.policy.limits
    judged = [case for case in planning.cases if case.judged]
    tension_n = max(case.tension_n for case in judged)
    stations = context.stations
    asked: dict[str, list[_Asked]] = defaultdict(list)
    for tag in (context.frame.track_near_tag, context.frame.track_far_tag):
        asked[tag].append((tension_n, limits.anchor_track_least))
    for station in (stations.ferry_near, stations.ferry_far, stations.up_down):
        if station.tag is not None:
            asked[station.tag].append(
                (_station_load_n(context, station, planning), limits.anchor_station_least)
            )
    return asked


def _station_load_n(context: Context, station: Station, planning: StageResult) -> float:
    judged = [case for case in planning.cases if case.judged]
    if station is context.stations.ferry_near:
        return max(case.ferry_near_n for case in judged)
    if station is context.stations.ferry_far:
        return max(case.ferry_far_n for case in judged)
    return max(max(case.up_down_hold_n, case.up_down_haul_n) for case in judged)


def _notes(tag: str, planning: StageResult) -> tuple[Note, ...]:
    """Reasons of the planning row that concern this anchor."""
    found = [note for case in planning.cases if case.judged for note in case.why if note.about == tag]
    return tuple({note.code: note for note in found}.values())


def _surveyed(
    context: Context, anchor: Anchor, placed: PlacedAnchor, asked: list[_Asked], planning: StageResult
) -> AnchorPlan:
    """An anchor of the survey; the loads of several lines on it are added, which no vector sum exceeds."""
    limits = context.policy.limits
    load_n = sum(load for load, _ in asked) if asked else None
    needed_n = (
        None
        if load_n is None
        else hold_needed_n(load_n=load_n, ratio=limits.anchor_ratio, least_n=max(least for _, least in asked))
    )
    hold = rated_hold_n(context, anchor.tag)
    rise_m = context.planning.rise_m
    return AnchorPlan(
        tag=anchor.tag,
        bank=anchor.bank.value,
        uses=tuple(sorted(use.value for use in anchor.uses)),
        surveyed=True,
        place=anchor.place,
        at=placed.at,
        kind=anchor.kind,
        height_m=anchor.height_m,
        height_planning_m=anchor.height_m - rise_m,
        load_n=load_n,
        needed_n=needed_n,
        rating_n=None if hold is None else hold.hold_n,
        rating_assumed=hold is not None and hold.assumed,
        ratio=None if hold is None or not load_n else hold.hold_n / load_n,
        do_not_use=anchor.do_not_use,
        drowned=anchor.height_m <= rise_m,
        why=_notes(anchor.tag, planning),
        note=anchor.note,
    )


def _placed(context: Context, station: Station, planning: StageResult, tag: str) -> AnchorPlan:
    """A station put where policy says, to be found on scene."""
    limits = context.policy.limits
    load_n = _station_load_n(context, station, planning)
    return AnchorPlan(
        tag=tag,
        bank=station.bank.value,
        uses=(station.use.value,),
        surveyed=False,
        place=lonlat_of(context.frame, station.at),
        at=station.at,
        kind=None,
        height_m=station.height_m,
        height_planning_m=station.height_m - context.planning.rise_m,
        load_n=load_n,
        needed_n=hold_needed_n(load_n=load_n, ratio=limits.anchor_ratio, least_n=limits.anchor_station_least),
        rating_n=None,
        rating_assumed=False,
        ratio=None,
        do_not_use=False,
        drowned=False,
        why=(),
        note=None,
    )


def anchor_plans(context: Context, planning: StageResult) -> tuple[AnchorPlan, ...]:
    """Every surveyed anchor, those in use first, then the stations to be found on scene."""
    asked = _asked(context, planning)
    placed_at = {placed.tag: placed for placed in context.frame.anchors}
    surveyed = [
        _surveyed(context, anchor, placed_at[anchor.tag], asked.get(anchor.tag, []), planning)
        for anchor in context.site.anchors
    ]
    surveyed.sort(key=lambda anchor: (anchor.load_n is None, anchor.bank != "near"))
    stations = context.stations
    on_scene = [
        _placed(context, station, planning, context.words(f"station.{key}"))
        for key, station in (
            ("ferry_near", stations.ferry_near),
            ("ferry_far", stations.ferry_far),
            ("up_down", stations.up_down),
        )
        if station.tag is None
    ]
    return (*surveyed, *on_scene)
