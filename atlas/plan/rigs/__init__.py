"""Rigs at sites: a module for each kind of rig, and the table by which a template finds its own.

A rig is a template in templates/rigs, found by its name, and of a kind. A kind is an entry in
`atlas.settings.rig_kinds.KINDS`, a module here with a function `plan`, and its line in `PLANNERS`.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Final

from atlas.faults import EngineeringError, NoSolution
from atlas.plan.context import Context
from atlas.plan.rig_results import Note, RigPlan
from atlas.plan.rigs import tether, track_line
from atlas.settings import Rig

__all__ = ["PLANNERS", "Planner", "rigs_of"]

Planner = Callable[[Sequence[Context]], list[RigPlan | EngineeringError]]
"""Contexts of many sites and of any rigs of its kind; for each its rig, or why it cannot be computed."""

PLANNERS: Final[dict[str, Planner]] = {
    "track-line": track_line.plan,
    "tether": tether.plan,
}
"""By the kind that a template names."""


def _planned(kind: str, contexts: Sequence[Context]) -> list[RigPlan | EngineeringError]:
    if kind not in PLANNERS:
        return [NoSolution(f"no module plans rigs of kind {kind}") for _ in contexts]
    return PLANNERS[kind](contexts)


def _cannot(context: Context, cause: EngineeringError) -> RigPlan:
    """A rig that cannot be computed at a site."""
    text = context.words("why.not_computed", cause=str(cause))
    return RigPlan(
        rig=context.rig.name,
        chosen=False,
        lines=(),
        least_factor=0.0,
        stages=(),
        limit=None,
        anchors=(),
        gear=(),
        crew=(),
        cannot=Note("not_computed", text),
    )


def rigs_of(
    contexts: Sequence[Context], rigs: Sequence[Rig]
) -> list[tuple[tuple[RigPlan, EngineeringError | None], ...]]:
    """Every rig at every site, those of a kind together.

    Parameters
    ----------
    contexts : of the sites, whichever rig they name
    rigs : templates

    Returns
    -------
    for each site its rigs in the order of the templates; beside one that cannot be computed there, why
    """
    found: dict[tuple[int, str], tuple[RigPlan, EngineeringError | None]] = {}
    for kind in dict.fromkeys(rig.kind for rig in rigs):
        alike = [rig for rig in rigs if rig.kind == kind]
        asked = [
            (index, replace(context, rig=rig)) for rig in alike for index, context in enumerate(contexts)
        ]
        planned = _planned(kind, [context for _, context in asked])
        for (index, context), rig_plan in zip(asked, planned, strict=True):
            if isinstance(rig_plan, RigPlan):
                found[index, context.rig.name] = rig_plan, None
            else:
                found[index, context.rig.name] = _cannot(context, rig_plan), rig_plan
    return [tuple(found[index, rig.name] for rig in rigs) for index in range(len(contexts))]
