"""Why a state is outside plan, in the agency's words with printed figures."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from atlas.plan.anchor_rating import Hold, rated_hold_n
from atlas.plan.context import Context
from atlas.plan.mechanics import Mechanics, drag_most_n
from atlas.plan.rig_results import Note
from atlas.plan.tie_loads import ties_of
from atlas.plan.track_results import TrackCase
from atlas.rigging.fixtures import Stand
from atlas.rigging.limits import rule_for
from atlas.units import Figure, printed

__all__ = ["Reasons"]


@dataclass(frozen=True, slots=True)
class Reasons:
    """Each method gives the reasons of one kind, none when the limit is met."""

    context: Context
    mechanics: Mechanics
    holds: Mapping[str, Hold | None] = field(init=False)

    def __post_init__(self) -> None:
        holds = {anchor.tag: rated_hold_n(self.context, anchor.tag) for anchor in self.context.site.anchors}
        object.__setattr__(self, "holds", holds)

    def plain(self, code: str, **values: str) -> Note:
        """A reason with its text."""
        return Note(code=code, text=self.context.words(f"why.{code}", **values), about=values.get("tag"))

    def _shown(self, figure: Figure, value: float) -> str:
        return printed(figure, value, self.context.units).first

    def of_case(self, case: TrackCase, *, rise_m: float) -> tuple[Note, ...]:
        """Every reason of a case at a stage, but the closest boat's."""
        tension_n = case.tension_n
        why = self.force(tension_n=tension_n, factor=case.factor, part=case.factor_part)
        why += self.clearance(case)
        why += self.anchors(case, rise_m=rise_m)
        why += self.no_leverage()
        why += self.set_tension()
        why += self.range_shown(drag_n=case.drag_n)
        why += self.tended_lines(case)
        return tuple(why) if case.judged else (*why, self.plain("let_go"))

    def force(self, *, tension_n: float, factor: float, part: str) -> list[Note]:
        """Factor of the weakest part, and the progress capture."""
        notes = []
        least = self.context.policy.limits.factor_track
        if factor < least:
            notes.append(
                self.plain(
                    "factor",
                    got=self._shown(Figure.FACTOR, factor),
                    least=self._shown(Figure.FACTOR_NEEDED, least),
                    part=self.context.words(f"track_part.{part}"),
                )
            )
        notes += [
            self.plain(
                "capture",
                got=self._shown(Figure.TENSION, tension_n),
                most=self._shown(Figure.STRENGTH_HELD, limit.most_n),
            )
            for limit in self.mechanics.site.limits
            if limit.code == "capture" and tension_n > limit.most_n
        ]
        return notes

    def clearance(self, case: TrackCase) -> list[Note]:
        """Clearance under the base and the waves; a line that is lower than the carriage is named."""
        if case.clearance_m >= case.clearance_needed_m:
            return []
        got = self._shown(Figure.CLEARANCE, case.clearance_m)
        least = self._shown(Figure.CLEARANCE_NEEDED, case.clearance_needed_m)
        if got.startswith("-"):  # a hyphen before a figure is easily overlooked
            part = "clearance" if case.lowest_line is None else case.clearance_part
            text = self.context.words(f"drowned.{part}", depth=got.removeprefix("-"), least=least)
            return [Note("clearance", text)]
        if case.lowest_line is None:
            return [self.plain("clearance", got=got, least=least)]
        return [Note("clearance", self.context.words(f"lowest.{case.clearance_part}", got=got, least=least))]

    def anchors(self, case: TrackCase, *, rise_m: float) -> list[Note]:
        """Surveyed anchors of all lines: drowned, unrated, or asked for more than they hold.

        A station to be found on scene is not judged.
        """
        notes = []
        for tie in ties_of(self.context, case):
            if tie.height_m <= rise_m:
                notes.append(self.plain("anchor_drowned", tag=tie.tag))
            hold = self.holds[tie.tag]
            if hold is None:
                notes.append(self.plain("anchor_unrated", tag=tie.tag))
            elif hold.hold_n < tie.needed_n:
                notes.append(
                    self.plain(
                        tie.code,
                        tag=tie.tag,
                        needed=self._shown(Figure.STRENGTH_NEEDED, tie.needed_n),
                        rating=self._shown(Figure.STRENGTH_HELD, hold.hold_n),
                    )
                )
        return notes

    def tended_lines(self, case: TrackCase) -> list[Note]:
        """Factor of the ferry lines and the up-down line."""
        tensions_n = {
            Stand.FERRY_NEAR: case.ferry_near_n,
            Stand.FERRY_FAR: case.ferry_far_n,
            Stand.UP_DOWN: max(case.up_down_hold_n, case.up_down_haul_n),
        }
        return [
            self.plain(
                "factor_line",
                line=self.context.words(f"line.{limit.part}"),
                got=self._shown(Figure.FACTOR, limit.strength_n / tensions_n[limit.stands]),
                least=self._shown(Figure.FACTOR_NEEDED, limit.divided_by),
            )
            for limit in self.mechanics.site.limits
            if limit.code == "factor_line" and tensions_n[limit.stands] > limit.most_n
        ]

    def closest_boat(self, closest_m: float) -> Note:
        """A held boat that cannot be brought within the reach of the work."""
        got = self._shown(Figure.CLOSEST_BOAT, closest_m)
        least = self._shown(Figure.TRAVEL_TO, self.context.frame.reach_down_m)
        return self.plain("closest_boat", got=got, least=least)

    def no_leverage(self) -> list[Note]:
        """Ferry lines that move the carriage nowhere over the water."""
        return [] if self.mechanics.has_leverage else [self.plain("no_leverage")]

    def set_tension(self) -> list[Note]:
        """Rules on the tension as set."""
        limits = self.context.policy.limits
        rule = rule_for(
            diameter_m=self.mechanics.rope.diameter_m,
            rule_of_12=limits.rule_of_12,
            rule_of_18=limits.rule_of_18,
            rule_of_18_from_m=limits.rule_of_18_from,
        )
        texts = {
            "pretension_rule": {"rule": f"{rule:g}"},
            "pretension_strength": {"percent": f"{limits.set_fraction_of_strength * 100:g}"},
        }
        return [
            self.plain(code, **texts[code])
            for code, most_n in self.mechanics.site.rules
            if self.mechanics.haul.most_n > most_n
        ]

    def range_shown(self, *, drag_n: float) -> list[Note]:
        """Loads that were cut at the range in which the answer was shown."""
        return [self.plain("beyond_model")] if drag_n > drag_most_n() else []
