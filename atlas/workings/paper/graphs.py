"""The three graphs: tension against speed, tension against bow, clearance against stage."""

from __future__ import annotations

import numpy as np

from atlas.paper import Stroke
from atlas.plan import LoadPlace
from atlas.rigging.limits import clearance_needed_m
from atlas.settings import Words
from atlas.workings.paper.derive import Derivation
from atlas.workings.paper.plot import Curve, Plot
from atlas.workings.paper.rigged import Rigged, case_drag_n

__all__ = ["graphs"]

_STROKES = (
    Stroke(weight_mm=0.35, dash_mm=(1.6, 0.7, 0.4, 0.7)),
    Stroke(weight_mm=0.45, dash_mm=(3.2, 0.9)),
    Stroke(weight_mm=0.7),
    Stroke(weight_mm=0.35, dash_mm=(0.6, 0.5)),
)
_SPEEDS = 25
_LOADS = 160
_LOAD_MOST_N = 14e3
"""Inside the range in which the rope's answer was shown, the carriage's weight with it [N]."""
_PAST = 1.2
_KN = 1e-3


def _most_tension_n(rigged: Rigged, strength_kept_n: float) -> list[tuple[str, float]]:
    """The rope's limit and the capture's, by the word of each."""
    rig = rigged.rig
    limits = [("factor", strength_kept_n / rigged.policy.limits.factor_track)]
    if rig.capture_limit_n is not None:
        limits.append(("capture", rig.capture_limit_n))
    return limits


def _levels(rigged: Rigged, words: Words) -> tuple[tuple[str, float], ...]:
    kept_n = rigged.rig.rope.strength_n * rigged.rig.rope.kept
    return tuple(
        (words(f"derivation.graph.{name}"), most * _KN) for name, most in _most_tension_n(rigged, kept_n)
    )


def tension_against_speed(rigged: Rigged, words: Words) -> Plot:
    """Greatest tension of each judged case, for the most the haul may have set."""
    rig = rigged.rig
    speeds = [rig.planning.design_speed_m_s] + ([] if rig.limit is None else [rig.limit.surface_speed_m_s])
    most = _PAST * max(speeds)
    xs = np.linspace(0.0, most, _SPEEDS)
    limits = rigged.policy.limits
    base_m = limits.clearance_boats if limits.boats_pass_under else limits.clearance
    needed_m = [float(clearance_needed_m(base_m=base_m, speed_m_s=float(x))) for x in xs]
    curves = []
    for number, case in enumerate(rigged.judged):
        drags = [
            min(case_drag_n(rigged.policy, case.case, speed_m_s=float(x)), rigged.drag_most_n) for x in xs
        ]
        tensions = rigged.tightest_n(drags, clearance_m=needed_m, pretension_n=rig.haul.most_n)
        points = tuple((float(x), float(y) * _KN) for x, y in zip(xs, tensions, strict=True))
        curves.append(Curve(words(f"case.{case.case}"), points, _STROKES[number % len(_STROKES)]))
    places = [(words("derivation.graph.planning_speed"), speeds[0])]
    if rig.limit is not None:
        places.append((words("derivation.graph.limit_speed"), rig.limit.surface_speed_m_s))
    window = rig.window
    return Plot(
        title=words("derivation.graph.tension_speed"),
        x_title=words("derivation.graph.speed"),
        y_title=words("derivation.graph.tension"),
        curves=tuple(curves),
        levels=_levels(rigged, words),
        places=tuple(places),
        band=None
        if window is None
        else (window.low_n * _KN, window.high_n * _KN, words("derivation.graph.window")),
    )


def tension_against_bow(derivation: Derivation, words: Words) -> Plot:
    """What the rope's stretch makes of a bow at mid-span and at the thirds, whatever the speed."""
    rigged = derivation.rigged
    asked = derivation.tightest.place
    span = rigged.plan.frame.span_m
    weight = rigged.policy.loads.carriage_weight
    levels = _levels(rigged, words)
    loads = np.linspace(0.0, _LOAD_MOST_N, _LOADS)
    most = _PAST * min(level for _, level in levels)
    curves = []
    for number, (name, share) in enumerate((("thirds", 1 / 3), ("mid_span", 1 / 2))):
        place = LoadPlace(
            share * span, 0.0, 0.0, -weight, asked.pretension_n, asked.stiffness_n, asked.seating_m
        )
        state = rigged.line_at(place).loaded(at_m=place.at_m, downstream_n=loads, down_n=weight)
        points = tuple(
            (float(bow), float(tension) * _KN)
            for bow, tension in zip(state.downstream_m, state.tension_n, strict=True)
            if float(tension) * _KN <= most
        )
        curves.append(Curve(words(f"derivation.graph.{name}"), points, _STROKES[number + 1]))
    return Plot(
        title=words("derivation.graph.tension_bow"),
        x_title=words("derivation.graph.bow"),
        y_title=words("derivation.graph.tension"),
        curves=tuple(curves),
        levels=levels,
    )


def clearance_against_stage(rigged: Rigged, words: Words) -> Plot:
    """Clearance of each judged case at every row, and what is asked there."""
    stages = rigged.rig.stages
    known = all(stage.stage_m is not None for stage in stages)
    xs = [float(stage.stage_m or 0.0) if known else stage.rise_m for stage in stages]
    judged = [case.case for case in rigged.judged]
    curves = []
    for number, name in enumerate(judged):
        cases = [next(case for case in stage.cases if case.case == name) for stage in stages]
        points = tuple((x, case.clearance_m) for x, case in zip(xs, cases, strict=True))
        curves.append(Curve(words(f"case.{name}"), points, _STROKES[number % len(_STROKES)], marks=True))
    asked = tuple((x, stage.cases[0].clearance_needed_m) for x, stage in zip(xs, stages, strict=True))
    curves.append(Curve(words("derivation.graph.asked"), asked, Stroke(weight_mm=0.5, dash_mm=(2.4, 1.0))))
    planning = next(x for x, stage in zip(xs, stages, strict=True) if stage.planning)
    return Plot(
        title=words("derivation.graph.clearance_stage"),
        x_title=words(f"derivation.graph.{'stage' if known else 'rise'}"),
        y_title=words("derivation.graph.clearance"),
        curves=tuple(curves),
        places=((words("derivation.graph.planning_stage"), planning),),
        from_zero=False,
    )


def graphs(derivation: Derivation, words: Words) -> tuple[Plot, Plot, Plot]:
    """All three."""
    rigged = derivation.rigged
    return (
        tension_against_speed(rigged, words),
        tension_against_bow(derivation, words),
        clearance_against_stage(rigged, words),
    )
