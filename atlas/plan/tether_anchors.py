"""Anchors and stations of a tether with what is asked of them at the planning stage."""

from __future__ import annotations

from atlas.plan.anchors import Asked, on_scene_plan, surveyed_plan
from atlas.plan.context import Context
from atlas.plan.rig_results import AnchorPlan, AnchorPull
from atlas.plan.tether_results import TetheredStage
from atlas.plan.tether_ropes import station_tag
from atlas.plan.tether_site import Placed, TetherPlace
from atlas.rigging.anchors import hold_needed_n

__all__ = ["tether_anchors"]


def _greatest(planning: TetheredStage, index: int) -> AnchorPull:
    """The greatest pull on a bow station in any judged case."""
    pulls = [case.anchor_pulls[index] for case in planning.cases if case.judged]
    return max(pulls, key=lambda pull: pull.load_n)


def _asked(context: Context, pull: AnchorPull | None, use: str) -> Asked:
    """A stern line is slack for load: its station is asked for the least alone."""
    limits = context.policy.limits
    load_n = 0.0 if pull is None else pull.load_n
    needed_n = hold_needed_n(load_n=load_n, ratio=limits.anchor_ratio, least_n=limits.anchor_station_least)
    return Asked(use, pull or AnchorPull("stern_station", 0.0, 0.0, 0.0, 0.0), needed_n)


def tether_anchors(
    context: Context, place: TetherPlace, planning: TetheredStage, *, stern: bool
) -> tuple[AnchorPlan, ...]:
    """Every surveyed anchor, those in use first, then the stations to be found on scene."""
    stations: list[tuple[Placed, str, Asked]] = [
        (placed, "bow", _asked(context, _greatest(planning, index), "bow"))
        for index, placed in enumerate(place.bow)
    ]
    if stern:
        stations += [(placed, "stern", _asked(context, None, "stern")) for placed in place.stern]
    asked = {placed.tag: one for placed, _, one in stations if placed.tag is not None}
    surveyed = [
        surveyed_plan(context, anchor, asked.get(anchor.tag), planning) for anchor in context.site.anchors
    ]
    surveyed.sort(key=lambda anchor: (anchor.load_n is None, -(anchor.load_n or 0.0), anchor.bank != "near"))
    on_scene = [
        on_scene_plan(
            context,
            one,
            tag=station_tag(context, placed, use),
            bank=placed.bank,
            at=(placed.point.x_m, placed.point.y_m),
            height_m=placed.point.z_m,
        )
        for placed, use, one in stations
        if placed.tag is None
    ]
    return (*surveyed, *on_scene)
