"""What the first page tells of a site and of what came out, as the sheet prints it."""

from __future__ import annotations

from dataclasses import dataclass

from atlas.plan import Limit, RigPlan, SitePlan, TetherRig, TrackLineRig
from atlas.settings import Words
from atlas.units import Figure, UnitSystem, printed, printed_window
from atlas.workings.paper.derive import Derivation

__all__ = ["grounds_of", "results_of", "tether_results_of"]

Told = tuple[str, str]
"""A label and what stands beside it."""


@dataclass(frozen=True, slots=True)
class _Teller:
    """Figures and sentences in the county's units and the wording's language."""

    words: Words
    system: UnitSystem

    def both(self, figure: Figure, value: float) -> str:
        """A figure in both systems, rounded to its safe side."""
        return printed(figure, value, self.system).both

    def say(self, code: str, **values: str) -> str:
        """A sentence of the first page."""
        return self.words(f"derivation.cover.{code}", **values)

    def label(self, code: str) -> str:
        """The label of a row."""
        return self.words(f"derivation.cover.label.{code}")

    @property
    def none(self) -> str:
        """Where there is nothing to tell."""
        return self.words("derivation.none")


def grounds_of(plan: SitePlan, words: Words) -> list[Told]:
    """Survey, rig and verdict."""
    teller = _Teller(words, UnitSystem(plan.county.units))
    access, file = plan.site.access, plan.site.file.rsplit("/", 1)[-1]
    survey = teller.say(
        "survey", date=access.surveyed.isoformat(), until=plan.valid_until.isoformat(), file=file
    )
    verdict = "inside" if plan.chosen.planning.inside else "outside"
    return [
        (teller.label("survey"), survey),
        (teller.label("rig"), words(f"rig.{plan.chosen.rig}")),
        (teller.label("verdict"), teller.say(f"verdict_{verdict}")),
    ]


def _planned(teller: _Teller, rig: RigPlan) -> str:
    row = rig.planning
    stage = teller.none if row.stage_m is None else teller.both(Figure.STAGE, row.stage_m)
    return teller.say("planning_value", stage=stage, speed=teller.both(Figure.SPEED, row.design_speed_m_s))


def _window(teller: _Teller, rig: TrackLineRig) -> str:
    ends = (
        None
        if rig.window is None
        else printed_window(low_n=rig.window.low_n, high_n=rig.window.high_n, system=teller.system)
    )
    return teller.none if ends is None else teller.say("window_value", low=ends[0].both, high=ends[1].both)


def _haul(teller: _Teller, rig: TrackLineRig) -> str:
    haul = rig.haul
    least, most = teller.both(Figure.HAUL_LEAST, haul.least_n), teller.both(Figure.HAUL_MOST, haul.most_n)
    return teller.say("haul_sets", system=haul.system, people=str(haul.people), least=least, most=most)


def _limit(teller: _Teller, limit: Limit | None) -> list[Told]:
    if limit is None:
        return [(teller.label("limit"), teller.none)]
    speed = teller.both(Figure.LIMIT_SPEED, limit.surface_speed_m_s)
    distance = teller.both(Figure.FLOAT_DISTANCE, limit.float_distance_m)
    seconds = teller.both(Figure.FLOAT_SECONDS, limit.float_seconds)
    what = teller.words(f"governed.{limit.governed_by}")
    return [
        (teller.label("limit"), teller.say("limit_value", speed=speed, what=what)),
        (teller.label("float"), teller.say("float_value", distance=distance, seconds=seconds)),
    ]


def results_of(derivation: Derivation, words: Words) -> list[Told]:
    """What came out."""
    plan = derivation.rigged.plan
    rig = plan.track_line
    teller = _Teller(words, UnitSystem(plan.county.units))
    tight, low = derivation.tightest.case, derivation.lowest.case
    factor = min(case.factor for case in derivation.rigged.judged)
    capture_n = rig.capture_limit_n
    values = {
        "planning": _planned(teller, rig),
        "tension": teller.say(
            "of_case", value=teller.both(Figure.TENSION, tight.tension_n), case=words(f"case.{tight.case}")
        ),
        "factor": teller.say(
            "against",
            got=teller.both(Figure.FACTOR, factor),
            asked=teller.both(Figure.FACTOR_NEEDED, rig.least_factor),
        ),
        "capture": teller.none if capture_n is None else teller.both(Figure.STRENGTH_HELD, capture_n),
        "clearance": teller.say(
            "against",
            got=teller.both(Figure.CLEARANCE, low.clearance_m),
            asked=teller.both(Figure.CLEARANCE_NEEDED, low.clearance_needed_m),
        ),
        "window": _window(teller, rig),
        "haul": _haul(teller, rig),
    }
    return [*((teller.label(code), value) for code, value in values.items()), *_limit(teller, rig.limit)]


def tether_results_of(plan: SitePlan, rig: TetherRig, words: Words) -> list[Told]:
    """What came out of a tether."""
    teller = _Teller(words, UnitSystem(plan.county.units))
    judged = [case for case in rig.planning.cases if case.judged]
    tight = max(judged, key=lambda case: case.tension_n)
    factor = min(case.factor for case in judged)
    values = {
        "planning": _planned(teller, rig),
        "angle": teller.say(
            "against",
            got=teller.both(Figure.INCLUDED_ANGLE, rig.angle_deg),
            asked=teller.both(Figure.ANGLE_MOST, rig.angle_most_deg),
        ),
        "tension": teller.say(
            "of_case", value=teller.both(Figure.TENSION, tight.tension_n), case=words(f"case.{tight.case}")
        ),
        "factor": teller.say(
            "against",
            got=teller.both(Figure.FACTOR, factor),
            asked=teller.both(Figure.FACTOR_NEEDED, rig.least_factor),
        ),
    }
    return [*((teller.label(code), value) for code, value in values.items()), *_limit(teller, rig.limit)]
