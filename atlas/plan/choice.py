"""Which rig a sheet prints in full: the one the survey names, else by the policy's rule."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from atlas.faults import EngineeringError, NoSolution
from atlas.plan.rig_results import RigPlan
from atlas.settings.policy_values import RigChoice

__all__ = ["Computed", "chosen_rig"]

Computed = tuple[RigPlan, EngineeringError | None]
"""A rig, and why it could not be computed."""


def _on_surveyed(rig: RigPlan) -> bool:
    """Every loaded station was surveyed."""
    return all(anchor.surveyed for anchor in rig.anchors if anchor.load_n)


def _may_be_taken(rig: RigPlan, rule: RigChoice) -> bool:
    """Inside plan, and what else the policy asks of a rig that nobody named."""
    covered = all(line.short_m <= 0.0 for line in rig.lines)
    return (
        rig.inside and (_on_surveyed(rig) or not rule.stations_surveyed) and (covered or not rule.ropes_held)
    )


def _named(name: str, rigs: Sequence[Computed]) -> str:
    for rig, cause in rigs:
        if rig.rig == name:
            if cause is not None:
                raise cause
            return name
    known = ", ".join(rig.rig for rig, _ in rigs)
    raise NoSolution(f"the survey names the rig {name}, which has no template; rigs: {known}")


def chosen_rig(name: str | None, rigs: Sequence[Computed], ranks: Mapping[str, RigChoice]) -> str:
    """Name of the rig that is printed in full.

    Parameters
    ----------
    name : as the survey names it, or None
    rigs : every rig at the site
    ranks : the policy's rule

    Returns
    -------
    the rig the survey names; else of those that the policy ranks and that are inside plan the one of least
    rank, where asked with all loaded stations surveyed and all lines covered; else the one that is taken
    where none is; else of what can be computed the one of least rank

    Raises
    ------
    EngineeringError
        The rig named cannot be computed, or has no template; or no rig can be computed: then of the one taken
        where none is inside plan.
    """
    if name is not None:
        return _named(name, rigs)
    ranked = sorted(
        ((rig, cause, ranks[rig.rig]) for rig, cause in rigs if rig.rig in ranks),
        key=lambda one: (one[2].rank, one[0].rig),
    )
    if not ranked:
        raise NoSolution("the survey names no rig and the policy ranks none")
    for rig, _, rule in ranked:
        if _may_be_taken(rig, rule):
            return rig.rig
    last = sorted(ranked, key=lambda one: not one[2].where_none)
    for rig, cause, _ in last:
        if cause is None:
            return rig.rig
    raise last[0][1] or NoSolution("no rig can be computed")
