"""Every printed figure with its kind and the direction it is rounded in: always to the safe side.

This table is the only place where a direction is chosen. What a rig needs, feels or takes is rounded up,
what it may do and what it has is rounded down; a plain observation goes to the nearest.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache
from types import MappingProxyType
from typing import TYPE_CHECKING, Final

from atlas.units.printing import Kind, Shown, UnitSystem, as_printed, show
from atlas.units.rounding import Toward

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = ["RULES", "Figure", "Rule", "printed", "printed_window"]


class Figure(StrEnum):
    """A figure that is printed somewhere."""

    # rope
    NEEDED_LENGTH = "needed length"
    FLOOR_LENGTH = "floor of a length"
    PART_LENGTH = "part of a length"
    SHORT_LENGTH = "length lacking"
    ROPE_HELD = "length of a rope in a cache"
    ROPE_DIAMETER = "diameter of a rope"
    LAUNCHER_REACH = "reach of a launcher"
    # the ground
    SPAN = "span, chord, width, setback, reach-down"
    TIE_RISE = "far tie point over near"
    NEAR_RUN = "clear haul run"
    HAUL_TRAVEL = "haul travel"
    POST_DISTANCE = "distance of a post"
    DANGER_DISTANCE = "distance to where a danger begins"
    SPOTTER_DISTANCE = "least distance of the spotter"
    SPOTTER_STANDS = "distance of the spotter as surveyed"
    LAST_CATCH = "last place to begin a catch, below the track line"
    BOAT_MOVES = "how far the boat moves when a line goes"
    LOST_REST = "where a carriage let go comes to rest"
    LOST_FROM = "near end of the ground a lost line sweeps"
    LOST_TO = "far end of the ground a lost line sweeps"
    REACHED = "part of the work area the boat is held in"
    TRAVEL_FROM = "near end of the travel under load"
    TRAVEL_TO = "far end of the travel under load"
    CLOSEST_BOAT = "no closer than"
    ANCHOR_SIZE = "thickness of an anchor"
    SKEW = "skew of the flow"
    INCLUDED_ANGLE = "included angle of the bow lines"
    ANGLE_MOST = "greatest included angle"
    STATION_DEPTH = "least depth or move of a station"
    DEPTH_THERE = "depth of a station"
    # heights
    TIE_HEIGHT = "height of a tie point"
    TIE_HEIGHT_NEEDED = "least height of a tie point"
    WATER_RISE = "rise of water that empties the window"
    RISE_TO_STOP = "rise between two looks that turns the crew back"
    CLEARANCE = "clearance"
    CLEARANCE_NEEDED = "least clearance"
    BOW = "bow expected"
    LIMIT_BOW = "limit bow"
    SEATING = "seating"
    SLACK_BUDGET = "slack allowed"
    # forces
    TENSION = "tension, drag, load, pull"
    SET_TENSION = "pretension to set"
    WINDOW_LOW = "lower end of the window"
    WINDOW_HIGH = "upper end of the window"
    HAUL_LEAST = "least a haul sets"
    HAUL_MOST = "most a haul may have set"
    STRENGTH_NEEDED = "hold or strength asked"
    STRENGTH_HELD = "hold, strength or rating"
    FACTOR = "factor or ratio"
    FACTOR_NEEDED = "least factor or ratio"
    # water
    SPEED = "speed expected"
    LIMIT_SPEED = "limit speed"
    STAGE = "stage"
    LIMIT_STAGE = "limit stage"
    RISE_AN_HOUR = "rise of the stage in an hour"
    DISCHARGE = "discharge"
    LIMIT_DISCHARGE = "limit discharge"
    DAYS_OUTSIDE = "days a month outside plan"
    # time and people
    FLOAT_DISTANCE = "paced distance of the float check"
    FLOAT_SECONDS = "float check"
    PULSE_FROM = "pulse check, least"
    PULSE_TO = "pulse check, most"
    DANGER_SECONDS = "seconds until a danger is reached"
    REACH_SECONDS = "seconds a swimmer is within reach"
    MINUTES_TO_ARRIVE = "minutes to arrive"
    MINUTES_LEFT = "minutes left, minutes until water arrives"
    PEOPLE_NEEDED = "people needed"
    PEOPLE_HELD = "people there"
    COUNT = "count of things"


@dataclass(frozen=True, slots=True)
class Rule:
    """How one figure is printed."""

    kind: Kind
    toward: Toward


_UP, _DOWN, _NEAREST = Toward.UP, Toward.DOWN, Toward.NEAREST
RULES: Final[Mapping[Figure, Rule]] = MappingProxyType(
    {
        Figure.NEEDED_LENGTH: Rule(Kind.ROPE_LENGTH, _UP),
        Figure.FLOOR_LENGTH: Rule(Kind.ROPE_LENGTH, _UP),
        Figure.PART_LENGTH: Rule(Kind.ROPE_LENGTH, _UP),
        Figure.SHORT_LENGTH: Rule(Kind.ROPE_LENGTH, _UP),
        Figure.ROPE_HELD: Rule(Kind.ROPE_LENGTH, _DOWN),
        Figure.ROPE_DIAMETER: Rule(Kind.ROPE_DIAMETER, _NEAREST),
        Figure.LAUNCHER_REACH: Rule(Kind.ROPE_LENGTH, _DOWN),
        Figure.SPAN: Rule(Kind.DISTANCE, _UP),
        Figure.TIE_RISE: Rule(Kind.HEIGHT, _NEAREST),
        Figure.NEAR_RUN: Rule(Kind.DISTANCE, _DOWN),
        Figure.HAUL_TRAVEL: Rule(Kind.DISTANCE, _UP),
        Figure.POST_DISTANCE: Rule(Kind.GROUND_DISTANCE, _NEAREST),
        Figure.DANGER_DISTANCE: Rule(Kind.GROUND_DISTANCE, _DOWN),
        Figure.SPOTTER_DISTANCE: Rule(Kind.GROUND_DISTANCE, _UP),
        Figure.SPOTTER_STANDS: Rule(Kind.GROUND_DISTANCE, _DOWN),
        Figure.LAST_CATCH: Rule(Kind.GROUND_DISTANCE, _DOWN),
        Figure.BOAT_MOVES: Rule(Kind.DISTANCE, _UP),
        Figure.LOST_REST: Rule(Kind.DISTANCE, _NEAREST),
        Figure.LOST_FROM: Rule(Kind.DISTANCE, _DOWN),
        Figure.LOST_TO: Rule(Kind.DISTANCE, _UP),
        Figure.REACHED: Rule(Kind.PERCENT, _DOWN),
        Figure.TRAVEL_FROM: Rule(Kind.DISTANCE, _UP),
        Figure.TRAVEL_TO: Rule(Kind.DISTANCE, _DOWN),
        Figure.CLOSEST_BOAT: Rule(Kind.DISTANCE, _UP),
        Figure.ANCHOR_SIZE: Rule(Kind.ANCHOR_SIZE, _NEAREST),
        Figure.SKEW: Rule(Kind.ANGLE, _NEAREST),
        Figure.INCLUDED_ANGLE: Rule(Kind.ANGLE, _UP),
        Figure.ANGLE_MOST: Rule(Kind.ANGLE, _DOWN),
        Figure.STATION_DEPTH: Rule(Kind.DISTANCE, _UP),
        Figure.DEPTH_THERE: Rule(Kind.DISTANCE, _DOWN),
        Figure.TIE_HEIGHT: Rule(Kind.HEIGHT, _DOWN),
        Figure.TIE_HEIGHT_NEEDED: Rule(Kind.HEIGHT, _UP),
        Figure.WATER_RISE: Rule(Kind.CLEARANCE, _DOWN),
        Figure.RISE_TO_STOP: Rule(Kind.CLEARANCE, _DOWN),
        Figure.CLEARANCE: Rule(Kind.CLEARANCE, _DOWN),
        Figure.CLEARANCE_NEEDED: Rule(Kind.CLEARANCE, _UP),
        Figure.BOW: Rule(Kind.HEIGHT, _UP),
        Figure.LIMIT_BOW: Rule(Kind.HEIGHT, _DOWN),
        Figure.SEATING: Rule(Kind.CLEARANCE, _UP),
        Figure.SLACK_BUDGET: Rule(Kind.CLEARANCE, _DOWN),
        Figure.TENSION: Rule(Kind.FORCE, _UP),
        Figure.SET_TENSION: Rule(Kind.FORCE, _UP),
        Figure.WINDOW_LOW: Rule(Kind.FORCE, _UP),
        Figure.WINDOW_HIGH: Rule(Kind.FORCE, _DOWN),
        Figure.HAUL_LEAST: Rule(Kind.FORCE, _DOWN),
        Figure.HAUL_MOST: Rule(Kind.FORCE, _UP),
        Figure.STRENGTH_NEEDED: Rule(Kind.FORCE, _UP),
        Figure.STRENGTH_HELD: Rule(Kind.FORCE, _DOWN),
        Figure.FACTOR: Rule(Kind.FACTOR, _DOWN),
        Figure.FACTOR_NEEDED: Rule(Kind.FACTOR, _UP),
        Figure.SPEED: Rule(Kind.SPEED, _UP),
        Figure.LIMIT_SPEED: Rule(Kind.SPEED, _DOWN),
        Figure.STAGE: Rule(Kind.STAGE, _NEAREST),
        Figure.LIMIT_STAGE: Rule(Kind.STAGE, _DOWN),
        Figure.RISE_AN_HOUR: Rule(Kind.STAGE, _UP),
        Figure.DISCHARGE: Rule(Kind.DISCHARGE, _NEAREST),
        Figure.LIMIT_DISCHARGE: Rule(Kind.DISCHARGE, _DOWN),
        Figure.DAYS_OUTSIDE: Rule(Kind.COUNT, _UP),
        # a float needs less time for a shorter course, so seconds told for the full one stay safe
        Figure.FLOAT_DISTANCE: Rule(Kind.ROPE_LENGTH, _DOWN),
        Figure.FLOAT_SECONDS: Rule(Kind.FLOAT_SECONDS, _UP),
        Figure.PULSE_FROM: Rule(Kind.SECONDS, _UP),
        Figure.PULSE_TO: Rule(Kind.SECONDS, _DOWN),
        Figure.DANGER_SECONDS: Rule(Kind.WHOLE_SECONDS, _DOWN),
        Figure.REACH_SECONDS: Rule(Kind.WHOLE_SECONDS, _DOWN),
        Figure.MINUTES_TO_ARRIVE: Rule(Kind.MINUTES, _UP),
        Figure.MINUTES_LEFT: Rule(Kind.MINUTES, _DOWN),
        Figure.PEOPLE_NEEDED: Rule(Kind.COUNT, _UP),
        Figure.PEOPLE_HELD: Rule(Kind.COUNT, _DOWN),
        Figure.COUNT: Rule(Kind.COUNT, _NEAREST),
    }
)


@lru_cache(maxsize=4096)  # strengths and limits are printed again and again
def printed(figure: Figure, value: float, system: UnitSystem = UnitSystem.US) -> Shown:
    """Print a figure in both systems, rounded to its safe side.

    Parameters
    ----------
    figure : which figure it is: decides unit, step and direction
    value : in SI (m, m/s, N, m3/s), minutes, seconds, degrees, percent or a bare number
    system : whose unit stands first

    Raises
    ------
    OutOfRange
        `value` is not finite.
    """
    rule = RULES[figure]
    return show(rule.kind, value, toward=rule.toward, system=system)


def printed_window(
    *, low_n: float, high_n: float, system: UnitSystem = UnitSystem.US
) -> tuple[Shown, Shown] | None:
    """Print both ends of the pretension window, rounded inward.

    Returns
    -------
    tuple of Shown, or None
        None where nothing is left between the ends in one of the two printed units: a window that
        vanishes in rounding is none.
    """
    low = as_printed(Kind.FORCE, low_n, toward=RULES[Figure.WINDOW_LOW].toward)
    high = as_printed(Kind.FORCE, high_n, toward=RULES[Figure.WINDOW_HIGH].toward)
    if any(least > most for least, most in zip(low, high, strict=True)):
        return None
    return printed(Figure.WINDOW_LOW, low_n, system), printed(Figure.WINDOW_HIGH, high_n, system)
