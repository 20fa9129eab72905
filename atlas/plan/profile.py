"""What the drawings show: the rope empty and loaded, in section and in plan."""

from __future__ import annotations

import numpy as np

from atlas.plan.context import Context
from atlas.plan.mechanics import PLACES, Mechanics, capped_drag, travel_at
from atlas.plan.results import Profile
from atlas.rigging.envelope import Conditions, bow, clearance, places_between, worst
from atlas.rigging.states import unloaded_height_m, unstretched_length_m

__all__ = ["section_profile"]

_POINTS = 41


def section_profile(context: Context, mechanics: Mechanics) -> Profile:
    """Ordinates at the planning stage, least set tension, soft bound, seated: the lowest the line hangs."""
    setup, bounds = mechanics.setup, mechanics.bounds
    row = context.planning
    from_m, to_m = travel_at(context, mechanics, row)
    places_m = places_between(from_m=from_m, to_m=to_m, count=PLACES)
    case = context.planning_case
    drag = np.array([0.0, capped_drag(drag_per_speed2=case.drag_per_speed2, speed_m_s=row.design_speed_m_s)])
    seated = Conditions(drag, row.rise_m, mechanics.haul.least_n, bounds.low_n, bounds.seating_m)
    hangs = worst(setup, clearance, seated, places_m=places_m)
    bowed = worst(setup, bow, seated, places_m=places_m)
    lowest = int(np.argmax(hangs.value))
    carriage_x_m = float(hangs.at_m[lowest])
    carriage_m = setup.near_tie_height_m + float(hangs.state.track.height_m[lowest, 0])
    x_m = np.linspace(0.0, setup.span_m, _POINTS)
    unstretched_m = bounds.seating_m + unstretched_length_m(
        span_m=setup.span_m,
        rise_m=setup.rise_m,
        weight_n_m=setup.weight_n_m,
        stiffness_n=bounds.low_n,
        pretension_n=mechanics.haul.least_n,
    )
    unloaded_m = setup.near_tie_height_m + unloaded_height_m(
        span_m=setup.span_m,
        rise_m=setup.rise_m,
        unstretched_m=unstretched_m,
        weight_n_m=setup.weight_n_m,
        stiffness_n=bounds.low_n,
        at_m=x_m,
    )
    ends_x = (0.0, carriage_x_m, setup.span_m)
    ends_z = (setup.near_tie_height_m, carriage_m, setup.near_tie_height_m + setup.rise_m)
    return Profile(
        x_m=tuple(x_m.tolist()),
        unloaded_m=tuple(unloaded_m.tolist()),
        loaded_m=tuple(np.interp(x_m, ends_x, ends_z).tolist()),
        bow_x_m=(0.0, float(bowed.at_m[1]), setup.span_m),
        bow_y_m=(0.0, float(bowed.value[1]), 0.0),
        carriage_x_m=carriage_x_m,
        carriage_height_m=carriage_m,
        lowest_m=carriage_m - setup.ring_below_line_m,
    )
