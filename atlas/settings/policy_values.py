"""The values of a policy: what each is, in which unit it may be written, and within which bounds."""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING, Annotated, Final, get_args

from pydantic import Field

from atlas.settings.toml_file import Strict

if TYPE_CHECKING:
    from collections.abc import Mapping

# Multiples of SI a policy file may use, by the SI unit; everything inside the program is SI.
UNITS: Final[Mapping[str, Mapping[str, float]]] = MappingProxyType(
    {
        "": {"": 1.0},
        "m": {"m": 1.0, "mm": 1e-3, "ft": 0.3048},
        "m2": {"m2": 1.0},
        "N": {"N": 1.0, "kN": 1e3},
        "N/m": {"N/m": 1.0},
        "N/m2": {"kN/m2": 1e3},
        "kg/m3": {"kg/m3": 1.0},
        "kg": {"kg": 1.0},
        "s": {"s": 1.0, "min": 60.0},
        "m/s": {"m/s": 1.0, "km/h": 1.0 / 3.6, "mph": 0.44704},
        "deg": {"deg": 1.0},
    }
)
TO_SI: Final[Mapping[str, float]] = MappingProxyType(
    {unit: factor for units in UNITS.values() for unit, factor in units.items()}
)


@dataclass(frozen=True, slots=True)
class In:
    """The SI unit of a value."""

    unit: str


Share = Annotated[float, Field(gt=0, le=1), In("")]
Ratio = Annotated[float, Field(ge=1), In("")]
Count = Annotated[float, Field(ge=0), In("")]
CountOver0 = Annotated[float, Field(gt=0), In("")]
Length = Annotated[float, Field(ge=0), In("m")]
LengthOver0 = Annotated[float, Field(gt=0), In("m")]
Area = Annotated[float, Field(ge=0), In("m2")]
Force = Annotated[float, Field(ge=0), In("N")]
ForceOver0 = Annotated[float, Field(gt=0), In("N")]
Weight = Annotated[float, Field(gt=0), In("N/m")]
Pressure = Annotated[float, Field(gt=0), In("N/m2")]
Time = Annotated[float, Field(gt=0), In("s")]
Switch = Annotated[bool, In("")]


class Limits(Strict):
    """Factors, clearances, least holds and the rules on set tension."""

    factor_track: Ratio
    factor_lines: Ratio
    clearance: Length
    clearance_boats: Length
    boats_pass_under: Switch
    clearance_closest_boat: Length
    anchor_ratio: Ratio
    anchor_track_least: Force
    anchor_station_least: Force
    # together these keep set tensions within those in which the track line was shown
    set_fraction_of_strength: Annotated[float, Field(ge=0.025, le=0.25), In("")]
    pull_per_person: Annotated[float, Field(ge=100, le=330), In("N")]
    rule_of_12: Annotated[float, Field(ge=6, le=24), In("")]
    rule_of_18: Annotated[float, Field(ge=6, le=24), In("")]
    rule_of_18_from: LengthOver0
    survey_valid_months: Annotated[float, Field(ge=1, le=120, multiple_of=1), In("")]
    tie_height_head: Length
    far_bank_cut_off: Time


class Capture(Strict):
    """What a progress capture holds."""

    general_use: ForceOver0
    technical_use: ForceOver0
    default: ForceOver0
    soft_hitch_wet: ForceOver0


class Loads(Strict):
    """What acts on the carriage, and how speeds are read."""

    water_density: Annotated[float, Field(ge=900, le=1300), In("kg/m3")]
    carriage_weight: Annotated[float, Field(ge=100, le=2000), In("N")]
    """At least the least load in which the track line was shown, and far under the greatest."""
    ring_below_line: Length
    bow_ring_above_water: Length
    strand_distance_least: LengthOver0
    ferry_weight: Weight
    leverage_least: Annotated[float, Field(ge=0.4, le=1), In("")]
    speed_most: Annotated[float, Field(gt=0.5, le=15), In("m/s")]
    seating: Annotated[float, Field(ge=0, le=0.5), In("m")]
    """At most what the track line was shown with."""
    surface_from_vertical: Share
    surface_from_section: Share
    one_note_margin: Count
    interval_level: Annotated[float, Field(gt=0, lt=1), In("")]
    width_to_depth: CountOver0


class LoadCase(Strict):
    """A thing in the current: drag area CdA [m2] and the surge on its force."""

    area: Area
    surge: Ratio


class Stiffness(Strict):
    """Bounds of EA about the rope's own figure."""

    low_of_10pct: Annotated[float, Field(ge=0.4, le=1), In("")]
    high_of_10pct: Annotated[float, Field(ge=1, le=3), In("")]
    high_elongation_of_50_150kg: Annotated[float, Field(gt=0, lt=1), In("")]


class PlanningRope(Strict):
    """The rope computed with where no cache rope is taken; within what the track line was shown with."""

    diameter: LengthOver0
    strength: Annotated[float, Field(ge=1e3, le=200e3), In("N")]
    weight: Annotated[float, Field(ge=0.5, le=2), In("N/m")]
    stiffness: Annotated[float, Field(ge=40e3, le=250e3), In("N")]


class Ends(Strict):
    """Strength kept by an end."""

    figure_8: Share
    butterfly: Share
    bowline: Share
    wraps: Share
    wraps_thin: Share
    device: Share
    join: Share


class Wet(Strict):
    """Strength kept when wet, by fibre."""

    nylon: Share
    polyester: Share
    polypropylene: Share
    hmpe: Share
    unknown: Share


class Lines(Strict):
    """Parts of the needed lengths."""

    wraps: Count
    wrap_anchor_diameters_least: CountOver0
    anchor_diameter_assumed: LengthOver0
    spare_fraction: Count
    spare_least: Length
    tail_far_tie_off: Length
    tail_near: Length
    tail_tended: Length
    tail_messenger: Length
    throw: LengthOver0
    rig_x: Length
    launch_arc: Ratio
    ferry_joined: Switch
    join_rope: Length


class Travel(Strict):
    """How minutes are estimated where a cache gives none: over the geodesic distance from the station."""

    detour: Ratio
    speed: Annotated[float, Field(ge=1, le=50), In("m/s")]


class PurchaseRules(Strict):
    """How ropes are bought."""

    rope_step: LengthOver0


class Launchers(Strict):
    """Reach of a way to get the first line over, in still air."""

    hand_bag: LengthOver0
    slingshot: LengthOver0
    pneumatic: LengthOver0
    cartridge: LengthOver0
    into_wind: Share


class Stations(Strict):
    """Where a station goes that was not surveyed."""

    ferry_upriver_most: Annotated[float, Field(ge=2), In("m")]
    ferry_upriver_of_span: Annotated[float, Field(ge=0.05, le=1), In("")]
    up_down_downriver: LengthOver0


class Pulse(Strict):
    """How the pulse check is counted, and how much water the rope may hold."""

    returns: Annotated[float, Field(ge=1, le=50, multiple_of=1), In("")]
    wet_factor: Annotated[float, Field(ge=1, le=2), In("")]


class IfLost(Strict):
    """Lines that hold when another is gone."""

    sudden: Annotated[float, Field(ge=1, le=4), In("")]
    factor_back_up: Ratio


class HandOverRules(Strict):
    """A line in the water: its sag over the width, and its drag coefficient."""

    sag_tight: Annotated[float, Field(ge=0.01, le=0.25), In("")]
    sag_slack: Annotated[float, Field(ge=0.01, le=0.25), In("")]
    cylinder_drag: Annotated[float, Field(gt=0, le=3), In("")]


class BoatMass(Strict):
    """Boat, crew, and the water in and with it."""

    mass: Annotated[float, Field(ge=50, le=5000), In("kg")]
    mass_swamped: Annotated[float, Field(ge=50, le=5000), In("kg")]


class PostTimes(Strict):
    """What the posts take their time for."""

    see: Time
    clear: Time
    catch: Time
    throw: Time


class NoGoRules(Strict):
    """How far ground that nobody stands on reaches."""

    behind_length: Annotated[float, Field(ge=0.1, le=50), In("m")]
    behind_angle: Annotated[float, Field(ge=1, le=60), In("deg")]
    margin: Annotated[float, Field(ge=0, le=20), In("m")]


class DecisionTimes(Strict):
    """How often the stage mark is looked at, and how long the river takes to be cleared."""

    interval: Annotated[float, Field(ge=60, le=7200), In("s")]
    clear: Annotated[float, Field(ge=1, le=7200), In("s")]
    reading_oldest: Annotated[float, Field(ge=60, le=86400), In("s")]


class WindowRules(Strict):
    """How far the search for an open window goes."""

    tie_rise_most: Annotated[float, Field(gt=0, le=8), In("m")]


class HaulRules(Strict):
    """Pulleys and room."""

    pulley_efficiency: Annotated[float, Field(ge=0.5, le=1), In("")]
    anchor_clear_run: Length


class StageRows(Strict):
    """Rows of the level table above the planning stage."""

    rows_above: Annotated[float, Field(ge=0, le=6, multiple_of=1), In("")]
    row_step: LengthOver0


class SeasonRules(Strict):
    """When a site is not counted on."""

    not_count_on: Annotated[float, Field(ge=1, le=31), In("")]


class FloatCheck(Strict):
    """How far the float is paced."""

    seconds_least: Time
    paces_step: LengthOver0
    paces_step_si: LengthOver0


class AnchorKind(Strict):
    """Hold assumed of an unrated anchor of this kind: `of_size_squared` x size^2, at most `most`."""

    of_size_squared: Pressure
    most: ForceOver0
    size_least: LengthOver0


class RigChoice(Strict):
    """Whether a rig is the one that is printed in full, where the survey names none.

    Of those inside plan the one of least `rank`; `stations_surveyed`: only where each loaded station was;
    `ropes_held`: only where the first-due cache covers every line; `where_none`: it is taken where none is
    inside plan.
    """

    rank: CountOver0
    stations_surveyed: Switch
    ropes_held: Switch
    where_none: Switch


class Tether(Strict):
    """What tethers are measured and judged by."""

    included_angle_most: Annotated[float, Field(ge=10, le=170), In("deg")]
    boat_length: Annotated[float, Field(gt=0, le=20), In("m")]
    stern_below: Annotated[float, Field(ge=0.5, le=50), In("m")]


class PolicyValues(Strict):
    """All values, SI."""

    limits: Limits
    capture: Capture
    loads: Loads
    cases: dict[str, LoadCase]
    stiffness: Stiffness
    planning_rope: PlanningRope
    ends: Ends
    wet: Wet
    lines: Lines
    travel: Travel
    purchase: PurchaseRules
    launchers: Launchers
    stations: Stations
    tether: Tether
    choice: dict[str, RigChoice]
    pulse: Pulse
    if_lost: IfLost
    hand_over: HandOverRules
    boat: BoatMass
    posts: PostTimes
    no_go: NoGoRules
    decisions: DecisionTimes
    window: WindowRules
    haul: HaulRules
    stages: StageRows
    seasons: SeasonRules
    float_check: FloatCheck
    anchor_kinds: dict[str, AnchorKind]


def _table_of(annotation: object) -> type[Strict] | None:
    """The table a field holds, itself or by name; None for a value."""
    for kind in (annotation, *get_args(annotation)):
        if isinstance(kind, type) and issubclass(kind, Strict):
            return kind
    return None


def si_unit_of(key: str) -> str | None:
    """SI unit of a dotted key; None for one that is no value of a policy."""
    table: type[Strict] | None = PolicyValues
    parts = key.split(".")
    while parts and table is not None:
        field = table.model_fields.get(parts.pop(0))
        if field is None:
            return None
        table = _table_of(field.annotation)
        if table is None:
            units = [item.unit for item in field.metadata if isinstance(item, In)]
            return units[0] if units and not parts else None
        if table in get_args(field.annotation) and parts:  # a table by name: the name is the agency's
            parts.pop(0)
    return None
