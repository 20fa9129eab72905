"""Tie points and stations with what is asked of them at the planning stage."""

from __future__ import annotations

from dataclasses import dataclass
from math import atan2, degrees, hypot

from atlas.frame import Point, SiteFrame, Station
from atlas.plan.anchor_rating import rated_hold_n
from atlas.plan.context import Context
from atlas.plan.places import bearing_deg, lonlat_of
from atlas.plan.rig_results import AnchorPlan, AnchorPull, CaseResult, Note, StageResult
from atlas.plan.tie_loads import Tie, station_pulls, ties_of
from atlas.plan.track_results import TrackStage
from atlas.records import Anchor, Bank
from atlas.rigging.anchors import hold_needed_n

__all__ = ["Asked", "anchor_plans", "on_scene_plan", "surveyed_plan"]


@dataclass(frozen=True, slots=True)
class Asked:
    """What the lines of a rig ask of an anchor or station.

    Attributes
    ----------
    use : what it serves in this rig; None for what the survey says
    pull : of all its lines together at their greatest
    needed_n : ultimate hold asked of it [N]
    """

    use: str | None
    pull: AnchorPull
    needed_n: float


def _worst_ties(context: Context, planning: TrackStage) -> dict[str, Tie]:
    """Each surveyed anchor with a line on it, in the judged case that asks most of it."""
    worst: dict[str, Tie] = {}
    for case in planning.cases:
        if case.judged:
            for tie in ties_of(context, case):
                if tie.tag not in worst or tie.pull.load_n > worst[tie.tag].pull.load_n:
                    worst[tie.tag] = tie
    return worst


def _bearing_deg(frame: SiteFrame, pull: AnchorPull) -> float | None:
    """True bearing of the horizontal part of a pull; None where nothing pulls."""
    if not pull.load_n:
        return None
    return bearing_deg(frame, along=pull.along_n, downstream=pull.downstream_n)


def _up_deg(pull: AnchorPull) -> float | None:
    """Angle of a pull over the horizontal; None where nothing pulls."""
    if not pull.load_n:
        return None
    return degrees(atan2(pull.up_n, hypot(pull.along_n, pull.downstream_n)))


def _notes(tag: str, planning: StageResult[CaseResult]) -> tuple[Note, ...]:
    """Reasons of the planning row that concern this anchor."""
    found = [note for case in planning.cases if case.judged for note in case.why if note.about == tag]
    return tuple({note.code: note for note in found}.values())


def surveyed_plan(
    context: Context, anchor: Anchor, asked: Asked | None, planning: StageResult[CaseResult]
) -> AnchorPlan:
    """An anchor of the survey, with what its lines ask of it; None where it has none."""
    placed = next(placed for placed in context.frame.anchors if placed.tag == anchor.tag)
    load_n = None if asked is None else asked.pull.load_n
    hold = rated_hold_n(context, anchor.tag)
    rise_m = context.planning.rise_m
    uses = tuple(sorted(use.value for use in anchor.uses))
    return AnchorPlan(
        tag=anchor.tag,
        bank=anchor.bank.value,
        uses=uses if asked is None or asked.use is None else (asked.use,),
        surveyed=True,
        place=anchor.place,
        at=placed.at,
        kind=anchor.kind,
        height_m=anchor.height_m,
        height_planning_m=anchor.height_m - rise_m,
        load_n=load_n,
        needed_n=None if asked is None else asked.needed_n,
        rating_n=None if hold is None else hold.hold_n,
        rating_assumed=hold is not None and hold.assumed,
        ratio=None if hold is None or not load_n else hold.hold_n / load_n,
        do_not_use=anchor.do_not_use,
        drowned=anchor.height_m <= rise_m,
        why=_notes(anchor.tag, planning),
        note=anchor.note,
        pull_bearing_deg=None if asked is None else _bearing_deg(context.frame, asked.pull),
        pull_up_deg=None if asked is None else _up_deg(asked.pull),
    )


def on_scene_plan(
    context: Context, asked: Asked, *, tag: str, bank: Bank, at: Point, height_m: float
) -> AnchorPlan:
    """A station put where policy says, to be found on scene."""
    return AnchorPlan(
        tag=tag,
        bank=bank.value,
        uses=() if asked.use is None else (asked.use,),
        surveyed=False,
        place=lonlat_of(context.frame, at),
        at=at,
        kind=None,
        height_m=height_m,
        height_planning_m=height_m - context.planning.rise_m,
        load_n=asked.pull.load_n,
        needed_n=asked.needed_n,
        rating_n=None,
        rating_assumed=False,
        ratio=None,
        do_not_use=False,
        drowned=False,
        why=(),
        note=None,
        pull_bearing_deg=_bearing_deg(context.frame, asked.pull),
        pull_up_deg=_up_deg(asked.pull),
    )


def _placed(context: Context, station: Station, planning: TrackStage, key: str) -> AnchorPlan:
    """A station put where policy says, in the judged case that asks most of it."""
    limits = context.policy.limits
    judged = [station_pulls(case)[f"{key}_station"] for case in planning.cases if case.judged]
    pull = max(judged, key=lambda one: one.load_n)
    needed_n = hold_needed_n(
        load_n=pull.load_n, ratio=limits.anchor_ratio, least_n=limits.anchor_station_least
    )
    return on_scene_plan(
        context,
        Asked(station.use.value, pull, needed_n),
        tag=context.words(f"station.{key}"),
        bank=station.bank,
        at=station.at,
        height_m=station.height_m,
    )


def anchor_plans(context: Context, planning: TrackStage) -> tuple[AnchorPlan, ...]:
    """Every surveyed anchor, those in use first, then the stations to be found on scene."""
    ties = _worst_ties(context, planning)
    asked = {tag: Asked(None, tie.pull, tie.needed_n) for tag, tie in ties.items()}
    surveyed = [
        surveyed_plan(context, anchor, asked.get(anchor.tag), planning) for anchor in context.site.anchors
    ]
    surveyed.sort(key=lambda anchor: (anchor.load_n is None, anchor.bank != "near"))
    stations = context.stations
    on_scene = [
        _placed(context, station, planning, key)
        for key, station in (
            ("ferry_near", stations.ferry_near),
            ("ferry_far", stations.ferry_far),
            ("up_down", stations.up_down),
        )
        if station.tag is None
    ]
    return (*surveyed, *on_scene)
