"""Rope taken = rope computed with: lengths, cover, rope and haul of sites to a fixed point."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from atlas.faults import NoSolution
from atlas.plan.context import Context
from atlas.plan.line_cover import Covered, cover_of
from atlas.plan.lines import carriage_paths, guessed_path, line_lengths
from atlas.plan.mechanics import Mechanics, solve_mechanics
from atlas.plan.tended_lines import tended_limits
from atlas.plan.track_results import TrackRope
from atlas.plan.track_rope import cache_rope, planning_rope
from atlas.rigging.haul import ideal_advantage
from atlas.rigging.lines import LineLength

__all__ = ["Agreed", "agree"]

_TURNS = 8


@dataclass(frozen=True, slots=True)
class Agreed:
    """What the turns came to; the mechanics with the limits of the tended lines' ropes too."""

    mechanics: Mechanics
    lengths: dict[str, LineLength]
    covers: Covered


@dataclass(slots=True)
class _Turning:
    """One site on its way."""

    context: Context
    rope: TrackRope
    advantage: int = 0
    agreed: Agreed | None = None

    def turn(self, mechanics: Mechanics, lengths: dict[str, LineLength], covers: Covered) -> None:
        """Agree, or go on with the rope taken."""
        taken = covers["track"].take
        rope = cache_rope(self.context, taken[0]) if taken else planning_rope(self.context)
        if rope == mechanics.rope:
            site = mechanics.site
            limits = (*site.limits, *tended_limits(self.context, covers))
            whole = replace(mechanics, site=replace(site, limits=limits))
            self.agreed = Agreed(whole, lengths, covers)
        self.rope = rope


def _first_rope(context: Context) -> TrackRope:
    """The rope that would be taken if the line bowed as most do; if it does not, the turns find another."""
    rope = planning_rope(context)
    advantage = max(ideal_advantage(system) for system in context.rig.hauls)
    lengths = line_lengths(
        context, guessed_path(context), rope_diameter_m=rope.diameter_m, haul_advantage=advantage
    )
    taken = cover_of(context, lengths)["track"].take
    return cache_rope(context, taken[0]) if taken else rope


def agree(contexts: Sequence[Context]) -> list[Agreed]:
    """Agreement at every site.

    The haul built in the line may only grow from turn to turn, so that the turns end.

    Raises
    ------
    NoSolution
        The rope taken and the rope computed with do not come to agree at a site.
    """
    turning = [_Turning(context, _first_rope(context)) for context in contexts]
    for _ in range(_TURNS):
        left = [one for one in turning if one.agreed is None]
        if not left:
            return [one.agreed for one in turning if one.agreed is not None]
        of = [one.context for one in left]
        solved = solve_mechanics(of, [one.rope for one in left])
        for one, mechanics, path in zip(left, solved, carriage_paths(of, solved), strict=True):
            one.advantage = max(one.advantage, ideal_advantage(mechanics.haul.system))
            lengths = line_lengths(
                one.context,
                path,
                rope_diameter_m=mechanics.rope.diameter_m,
                haul_advantage=one.advantage,
            )
            one.turn(mechanics, lengths, cover_of(one.context, lengths))
    raise NoSolution("track line: the rope taken and the rope computed with do not come to agree")
