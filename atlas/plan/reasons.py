"""Why a state is outside plan, in the agency's words with printed figures."""

from __future__ import annotations

from dataclasses import dataclass

from atlas.frame import Station
from atlas.plan.anchor_rating import rated_hold_n
from atlas.plan.context import Context
from atlas.plan.mechanics import Mechanics, drag_most_n
from atlas.plan.results import Note
from atlas.rigging.anchors import hold_needed_n
from atlas.units import Figure, printed

__all__ = ["Reasons"]


@dataclass(frozen=True, slots=True)
class Reasons:
    """Each method gives the reasons of one kind, none when the limit is met."""

    context: Context
    mechanics: Mechanics

    def plain(self, code: str, **values: str) -> Note:
        """A reason with its text."""
        return Note(code=code, text=self.context.words(f"why.{code}", **values), about=values.get("tag"))

    def _shown(self, figure: Figure, value: float) -> str:
        return printed(figure, value, self.context.units).first

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
            for limit in self.mechanics.limits
            if limit.code == "capture" and tension_n > limit.most_n
        ]
        return notes

    def clearance(self, *, clearance_m: float, needed_m: float) -> list[Note]:
        """Clearance under the base and the waves."""
        if clearance_m >= needed_m:
            return []
        return [
            self.plain(
                "clearance",
                got=self._shown(Figure.CLEARANCE, clearance_m),
                least=self._shown(Figure.CLEARANCE_NEEDED, needed_m),
            )
        ]

    def anchors(self, *, tension_n: float, rise_m: float) -> list[Note]:
        """Track anchors: drowned, unrated, or asked for more than they hold."""
        limits = self.context.policy.limits
        frame = self.context.frame
        notes = []
        for tag, height_m in (
            (frame.track_near_tag, frame.near_tie_height_m),
            (frame.track_far_tag, frame.far_tie_height_m),
        ):
            if height_m <= rise_m:
                notes.append(self.plain("anchor_drowned", tag=tag))
            notes += self._hold(
                "anchor_track",
                tag,
                hold_needed_n(load_n=tension_n, ratio=limits.anchor_ratio, least_n=limits.anchor_track_least),
            )
        return notes

    def stations(self, *, ferry_near_n: float, ferry_far_n: float, up_down_n: float) -> list[Note]:
        """Surveyed ferry and up-down stations; a station to be found on scene is not judged."""
        limits = self.context.policy.limits
        stations = self.context.stations
        notes: list[Note] = []
        loads: tuple[tuple[Station, float], ...] = (
            (stations.ferry_near, ferry_near_n),
            (stations.ferry_far, ferry_far_n),
            (stations.up_down, up_down_n),
        )
        for station, load_n in loads:
            if station.tag is not None:
                needed_n = hold_needed_n(
                    load_n=load_n, ratio=limits.anchor_ratio, least_n=limits.anchor_station_least
                )
                notes += self._hold("anchor_station", station.tag, needed_n)
        return list(dict.fromkeys(notes))

    def _hold(self, code: str, tag: str, needed_n: float) -> list[Note]:
        hold = rated_hold_n(self.context, tag)
        if hold is None:
            return [self.plain("anchor_unrated", tag=tag)]
        if hold.hold_n >= needed_n:
            return []
        return [
            self.plain(
                code,
                tag=tag,
                needed=self._shown(Figure.STRENGTH_NEEDED, needed_n),
                rating=self._shown(Figure.STRENGTH_HELD, hold.hold_n),
            )
        ]

    def set_tension(self) -> list[Note]:
        """Rules on the tension as set."""
        limits = self.context.policy.limits
        texts = {
            "pretension_rule": {"rule": f"{limits.rule_of_12:g} / {limits.rule_of_18:g}"},
            "pretension_strength": {"percent": f"{limits.set_fraction_of_strength * 100:g}"},
        }
        return [
            self.plain(code, **texts[code])
            for code, most_n in self.mechanics.rules
            if self.mechanics.haul.most_n > most_n
        ]

    def range_shown(self, *, drag_n: float) -> list[Note]:
        """Loads that were cut at the range in which the answer was shown."""
        return [self.plain("beyond_model")] if drag_n > drag_most_n() else []
