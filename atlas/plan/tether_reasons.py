"""Why a tether is outside plan, in the agency's words with printed figures."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from atlas.plan.context import Context
from atlas.plan.rig_results import Note
from atlas.plan.tether_site import TetherPlace
from atlas.rigging.anchors import hold_needed_n
from atlas.rigging.tether_records import BOW_LINES, LineLoad, LineStrength
from atlas.units import Figure, printed

__all__ = ["TetherReasons"]


@dataclass(frozen=True, slots=True)
class TetherReasons:
    """Each method gives the reasons of one kind, none when the limit is met."""

    context: Context
    place: TetherPlace
    strengths: tuple[LineStrength, LineStrength]
    at_any_load: tuple[Note, ...] = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "at_any_load", tuple(self.stations()))

    def plain(self, code: str, **values: str) -> Note:
        """A reason with its text."""
        return Note(code=code, text=self.context.words(f"why.{code}", **values), about=values.get("tag"))

    def _shown(self, figure: Figure, value: float) -> str:
        return printed(figure, value, self.context.units).first

    def of_case(self, loads: Sequence[LineLoad], *, judged: bool, rise_m: float) -> tuple[Note, ...]:
        """Every reason of a case at a stage."""
        why = [*self.at_any_load, *self.anchors(loads, rise_m=rise_m), *self.lines(loads)]
        return tuple(why) if judged else (*why, self.plain("let_go_bow"))

    def stations(self) -> list[Note]:
        """Stations that do not keep both lines taut, or the included angle, over the whole work area."""
        ground = self.place.ground
        depth = ground.depth
        if depth.move_m is None:
            return [self.plain("outside_stations", got=self._shown(Figure.STATION_DEPTH, depth.outside_m))]
        if depth.serves:
            return []
        return [
            self.plain(
                "included_angle",
                got=self._shown(Figure.INCLUDED_ANGLE, ground.angle.angle_deg),
                most=self._shown(Figure.ANGLE_MOST, ground.rules.angle_most_deg),
                move=self._shown(Figure.STATION_DEPTH, depth.move_m),
            )
        ]

    def anchors(self, loads: Sequence[LineLoad], *, rise_m: float) -> list[Note]:
        """Surveyed anchors of the bow lines: drowned, unrated, or asked for more than they hold."""
        rules = self.place.ground.rules
        notes = []
        for placed, strength, load in zip(self.place.bow, self.strengths, loads, strict=True):
            if placed.point.z_m <= rise_m:
                notes.append(self.plain("anchor_drowned", tag=strength.anchor))
            if placed.tag is None:
                continue
            needed_n = hold_needed_n(
                load_n=load.tension_n, ratio=rules.anchor_ratio, least_n=rules.anchor_least_n
            )
            if strength.hold_n is None:
                notes.append(self.plain("anchor_unrated", tag=strength.anchor))
            elif strength.hold_n < needed_n:
                notes.append(
                    self.plain(
                        "anchor_station",
                        tag=strength.anchor,
                        needed=self._shown(Figure.STRENGTH_NEEDED, needed_n),
                        rating=self._shown(Figure.STRENGTH_HELD, strength.hold_n),
                    )
                )
        return notes

    def lines(self, loads: Sequence[LineLoad]) -> list[Note]:
        """Factor of each bow line."""
        return [
            self.plain(
                "factor_line",
                line=self.context.words(f"line.{line}"),
                got=self._shown(Figure.FACTOR, load.factor),
                least=self._shown(Figure.FACTOR_NEEDED, strength.limits[0].divided_by),
            )
            for line, load, strength in zip(BOW_LINES, loads, self.strengths, strict=True)
            if any(load.tension_n > limit.most_n for limit in strength.limits)
        ]
