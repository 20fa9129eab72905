"""Lines of a tether: lengths, ropes taken, and what each bow line and its station stand."""

from __future__ import annotations

from collections.abc import Mapping

from atlas.cover import Cover
from atlas.plan.anchor_rating import rated_hold_n
from atlas.plan.context import Context
from atlas.plan.lines import throw_m
from atlas.plan.tether_results import TetherRope
from atlas.plan.tether_site import Placed, TetherPlace
from atlas.plan.track_rope import wet_share
from atlas.rigging.limits import ForceLimit, kept_strength
from atlas.rigging.lines import LineLength, launch_line
from atlas.rigging.tether_lengths import measured_lines
from atlas.rigging.tether_records import BOW_LINES, LineStrength

__all__ = ["bow_rope", "line_strength", "station_tag", "tether_lengths"]


def tether_lengths(context: Context, place: TetherPlace, *, stern: bool) -> dict[str, LineLength]:
    """Needed length of each line by name, over the whole work area and every stage of the level table."""
    rules, ground = context.policy.lines, place.ground
    rises_m = [row.rise_m for row in context.level_rows]
    measured = measured_lines(place.site(stern=stern), ground.rules, ground.geometry, rises_m=rises_m)
    lengths = {line.line: line.length for line in measured}
    lengths["launch"] = launch_line(
        throw_m=throw_m(context),
        arc=rules.launch_arc,
        span_m=context.frame.span_m,
        spare_fraction=rules.spare_fraction,
        spare_least_m=rules.spare_least,
    )
    return lengths


def bow_rope(context: Context, line: str, covers: Mapping[str, Cover]) -> TetherRope:
    """The rope taken for a bow line; of none, the weakest that the rig's template asks for, fibre unknown."""
    rule = next(rule for rule in context.rig.line if rule.name == line)
    taken = covers[line].take
    end = getattr(context.policy.ends, rule.end)
    if not taken:
        kept = kept_strength(wet=wet_share(context, "unknown"), end=end)
        return TetherRope(line, None, None, rule.rope[0].strength_least_kn * 1e3, kept)
    stock = context.caches.rope(taken[0].agency, taken[0].name)
    kept = kept_strength(wet=wet_share(context, stock.fibre), end=end)
    return TetherRope(line, stock.name, taken[0].agency, stock.strength_n, kept)


def station_tag(context: Context, placed: Placed, use: str) -> str:
    """The anchor's tag, or what a station to be found on scene is called."""
    return placed.tag or context.words(f"station.{use}_{placed.bank.value}")


def line_strength(context: Context, placed: Placed, rope: TetherRope) -> LineStrength:
    """What a bow line and its station's anchor stand: rope, connectors, hold."""
    factor = context.policy.limits.factor_lines
    parts = [ForceLimit("factor_line", "rope", rope.strength_n * rope.kept, factor)]
    parts += [ForceLimit("factor_line", part.name, part.rating_kn * 1e3, factor) for part in context.rig.part]
    hold = None if placed.tag is None else rated_hold_n(context, placed.tag)
    return LineStrength(
        limits=tuple(parts),
        anchor=station_tag(context, placed, "bow"),
        hold_n=None if hold is None else hold.hold_n,
        on_scene=placed.tag is None,
    )


def bow_ropes(context: Context, covers: Mapping[str, Cover]) -> tuple[TetherRope, TetherRope]:
    """Of the near and the far bow line."""
    near, far = BOW_LINES
    return bow_rope(context, near, covers), bow_rope(context, far, covers)
