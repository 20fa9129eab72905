"""What is really rigged at a site, counted, and the strength that its loads ask of hardware.

A rig's template says how many pieces of an item go with each; see `atlas.settings.rigs.Counted`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from math import ceil, pi

from atlas.plan.context import Context
from atlas.plan.gear_counts import GearFacts
from atlas.plan.rig_results import AnchorPlan
from atlas.records import Bank
from atlas.rigging.haul import pulleys_in

__all__ = ["rigged", "rigged_and_loaded"]

_THROWERS = "downstream_"
_NOT_HELD = ("track", "messenger")
"""Lines that no friction device holds."""


def _slings(context: Context, tag: str | None) -> int:
    """How many go round an anchor once: by its girth; none on what has an eye; one on what is to be found."""
    rule = context.gear.sling
    anchor = next((one for one in context.site.anchors if one.tag == tag), None)
    if anchor is None:
        return 1
    if anchor.kind in rule.none_on:
        return 0
    girth_m = 0.0 if anchor.diameter_m is None else pi * anchor.diameter_m
    return max(1, ceil(girth_m / rule.girth_most_m))


def _counts(
    context: Context, tags: Sequence[str | None], *, wrapped: str | None, haul: str | None
) -> dict[str, int]:
    rig = context.rig
    lines = [rule.name for rule in rig.line]
    # one anchor with several lines is slung once; each station to be found is one of its own
    used = [*dict.fromkeys(tag for tag in tags if tag is not None), *(None for tag in tags if tag is None)]
    return {
        "anchor": len(used),
        "sling": sum(_slings(context, tag) for tag in used if tag is None or tag != wrapped),
        "held_line": sum(not name.startswith(_NOT_HELD) for name in lines),
        "bow_line": sum(name.startswith("bow") for name in lines),
        "haul_pulley": pulleys_in(haul) if haul else max(pulleys_in(system) for system in rig.hauls),
        "bow_strand": rig.bow_strands,
        "thrower": sum(rule.people for rule in rig.crew if rule.post.startswith(_THROWERS)),
        "bank": len(Bank),
        "person": sum(rule.people for rule in rig.crew),
    }


def rigged(context: Context, tags: Sequence[str | None], *, wrapped: str | None = None) -> Context:
    """The site with what is rigged there known, before the haul and the loads are.

    Parameters
    ----------
    tags : of the anchors and stations in use; None for one to be found on scene
    wrapped : the anchor round which the rope itself is wrapped: it takes no sling
    """
    return replace(context, gear_facts=GearFacts(_counts(context, tags, wrapped=wrapped, haul=None)))


def rigged_and_loaded(
    context: Context,
    anchors: Sequence[AnchorPlan],
    asked_n: Mapping[str, float],
    *,
    wrapped: str | None = None,
    haul: str | None = None,
) -> Context:
    """The site with what is rigged there, the haul that is printed, and what the loads ask.

    Parameters
    ----------
    asked_n : strength by load, its factor in it [N]; that of the slings is added
    """
    used = [anchor for anchor in anchors if anchor.needed_n is not None]
    slung = [anchor.load_n or 0.0 for anchor in used if anchor.tag != wrapped]
    ratio = context.policy.limits.anchor_ratio
    tags = [anchor.tag if anchor.surveyed else None for anchor in used]
    counts = _counts(context, tags, wrapped=wrapped, haul=haul)
    asked = {**asked_n, "anchor": ratio * max(slung, default=0.0)}
    return replace(context, gear_facts=GearFacts(counts, asked))
