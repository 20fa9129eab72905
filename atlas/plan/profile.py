"""What the drawings show: the rope empty and loaded, in section and in plan."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from atlas.plan.context import Context
from atlas.plan.mechanics import Mechanics
from atlas.plan.track_results import Profile, TrackCase, TrackStage
from atlas.rigging.rigged import Rigged
from atlas.rigging.setups import Of
from atlas.rigging.shown import FloatArray
from atlas.rigging.states import unloaded_height_m, unstretched_length_m

__all__ = ["section_profiles"]

_POINTS = 41


def _lowest(planning: TrackStage) -> TrackCase:
    """The judged case in which the carriage hangs lowest."""
    return min((case for case in planning.cases if case.judged), key=lambda case: case.clearance_m)


def _unloaded_m(rigged: Rigged, mechanics: Sequence[Mechanics], stiffness_n: FloatArray) -> FloatArray:
    """Heights of each empty line over its near tie point, least set, seated; shape (sites, points) [m]."""
    column = {
        "span_m": rigged.table[Of.SPAN][:, np.newaxis],
        "rise_m": rigged.table[Of.RISE][:, np.newaxis],
        "weight_n_m": rigged.table[Of.WEIGHT][:, np.newaxis],
        "stiffness_n": stiffness_n[:, np.newaxis],
    }
    set_n = np.array([one.haul.least_n for one in mechanics])[:, np.newaxis]
    unstretched_m = rigged.ropes.seating_m[:, np.newaxis] + unstretched_length_m(**column, pretension_n=set_n)
    share = np.linspace(0.0, 1.0, _POINTS)
    return unloaded_height_m(**column, unstretched_m=unstretched_m, at_m=column["span_m"] * share)


def _carriage_end_m(case: TrackCase, *, ring_below_m: float) -> float:
    """The carriage on its line over the water of the stage, in the state of least clearance [m]."""
    line = case.lowest_line
    if line is None:
        return case.clearance_m + ring_below_m
    return line.carriage_end_m + (0.0 if case.clearance_part == "track-line" else ring_below_m)


def _profile(context: Context, one: Mechanics, planning: TrackStage, unloaded_m: FloatArray) -> Profile:
    setup, lowest = one.site.setup, _lowest(planning)
    bowed = next(case for case in planning.cases if case.case == context.rig.planning_case)
    low_m = lowest.clearance_m + planning.rise_m
    carriage_m = planning.rise_m + _carriage_end_m(lowest, ring_below_m=setup.ring_below_line_m)
    x_m = np.linspace(0.0, setup.span_m, _POINTS)
    ends_x = (0.0, lowest.clearance_at.at_m, setup.span_m)
    ends_z = (setup.near_tie_height_m, carriage_m, setup.near_tie_height_m + setup.rise_m)
    bow_x_m = lowest.clearance_at.at_m if bowed.bow_at is None else bowed.bow_at.at_m
    return Profile(
        x_m=tuple(x_m.tolist()),
        unloaded_m=tuple((setup.near_tie_height_m + unloaded_m).tolist()),
        loaded_m=tuple(np.interp(x_m, ends_x, ends_z).tolist()),
        bow_x_m=(0.0, bow_x_m, setup.span_m),
        bow_y_m=(0.0, bowed.bow_m, 0.0),
        carriage_x_m=lowest.clearance_at.at_m,
        carriage_height_m=carriage_m,
        lowest_m=low_m,
    )


def section_profiles(
    contexts: Sequence[Context], mechanics: Sequence[Mechanics], planning: Sequence[TrackStage]
) -> list[Profile]:
    """Ordinates at each site's planning stage, least set tension, seated: as low as the line hangs."""
    rigged = Rigged.of([one.site for one in mechanics])
    stiffness_n = np.array([_lowest(stage).clearance_at.stiffness_n for stage in planning])
    unloaded_m = _unloaded_m(rigged, mechanics, stiffness_n)
    return [_profile(*each) for each in zip(contexts, mechanics, planning, unloaded_m, strict=True)]
