"""The agency's limits and defaults: templates/policy.toml, in SI, each with its source."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated

from pydantic import Field, ValidationError

from atlas.faults import Fault, InputFaults, Severity
from atlas.settings.toml_file import Strict, Table, model_faults

Positive = Annotated[float, Field(gt=0)]
NotNegative = Annotated[float, Field(ge=0)]
Fraction = Annotated[float, Field(gt=0, le=1)]

# Multiples of SI a policy file may use; everything inside the program is SI.
_TO_SI = {
    "": 1.0, "m": 1.0, "mm": 1e-3, "ft": 0.3048, "m2": 1.0, "N": 1.0, "kN": 1e3, "N/m": 1.0,
    "kN/m2": 1e3, "kg/m3": 1.0, "s": 1.0, "m/s": 1.0,
}  # fmt: skip


def as_written(value: float, unit: str) -> float:
    """An SI value in a unit that a policy file may use."""
    return value / _TO_SI[unit]


class Limits(Strict):
    """Factors, clearances, least holds and the rules on set tension."""

    factor_track: Annotated[float, Field(ge=1)]
    factor_lines: Annotated[float, Field(ge=1)]
    clearance: NotNegative
    clearance_boats: NotNegative
    boats_pass_under: bool
    clearance_closest_boat: NotNegative
    anchor_ratio: Annotated[float, Field(ge=1)]
    anchor_track_least: NotNegative
    anchor_station_least: NotNegative
    set_fraction_of_strength: Fraction
    pull_per_person: Positive
    rule_of_12: Positive
    rule_of_18: Positive
    rule_of_18_from: Positive
    survey_valid_months: Annotated[float, Field(ge=1, le=120)]
    tie_height_head: NotNegative


class Capture(Strict):
    """What a progress capture holds."""

    general_use: Positive
    technical_use: Positive
    default: Positive
    soft_hitch_wet: Positive


class Loads(Strict):
    """What acts on the carriage, and how speeds are read."""

    water_density: Annotated[float, Field(ge=900, le=1300)]
    carriage_weight: Positive
    ring_below_line: NotNegative
    bow_ring_above_water: NotNegative
    strand_distance_least: Positive
    ferry_weight: Positive
    leverage_least: Fraction
    speed_most: Annotated[float, Field(gt=0.5, le=15)]
    seating: NotNegative
    surface_from_vertical: Fraction
    surface_from_section: Fraction
    one_note_margin: NotNegative
    interval_level: Annotated[float, Field(gt=0, lt=1)]
    width_to_depth: Positive


class LoadCase(Strict):
    """A thing in the current: drag area CdA [m2] and the surge on its force."""

    area: NotNegative
    surge: Annotated[float, Field(ge=1)]


class Stiffness(Strict):
    """Bounds of EA about the rope's own figure."""

    low_of_10pct: Fraction
    high_of_10pct: Annotated[float, Field(ge=1)]
    high_elongation_of_50_150kg: Annotated[float, Field(gt=0, lt=1)]


class PlanningRope(Strict):
    """The rope computed with where no cache rope is taken."""

    diameter: Positive
    strength: Positive
    weight: Positive
    stiffness: Positive


class Ends(Strict):
    """Strength kept by an end."""

    figure_8: Fraction
    butterfly: Fraction
    bowline: Fraction
    wraps: Fraction
    device: Fraction


class Wet(Strict):
    """Strength kept when wet, by fibre."""

    nylon: Fraction
    polyester: Fraction
    polypropylene: Fraction
    hmpe: Fraction
    unknown: Fraction


class Lines(Strict):
    """Parts of the needed lengths."""

    wraps: NotNegative
    wrap_anchor_diameters_least: Positive
    anchor_diameter_assumed: Positive
    spare_fraction: NotNegative
    spare_least: NotNegative
    tail_far_tie_off: NotNegative
    tail_near: NotNegative
    tail_tended: NotNegative
    tail_messenger: NotNegative
    throw: Positive
    rig_x: float
    launch_arc: Annotated[float, Field(ge=1)]


class Launchers(Strict):
    """Reach of a way to get the first line over, in still air."""

    hand_bag: Positive
    slingshot: Positive
    pneumatic: Positive
    cartridge: Positive
    into_wind: Fraction


class Stations(Strict):
    """Where a station goes that was not surveyed."""

    ferry_upriver_most: Positive
    ferry_upriver_of_span: Fraction
    up_down_downriver: Positive


class WindowRules(Strict):
    """How far the search for an open window goes."""

    tie_rise_most: Positive


class HaulRules(Strict):
    """Pulleys and room."""

    pulley_efficiency: Fraction
    anchor_clear_run: NotNegative


class StageRows(Strict):
    """Rows of the level table above the planning stage."""

    rows_above: Annotated[float, Field(ge=0, le=6)]
    row_step: Positive


class FloatCheck(Strict):
    """How far the float is paced."""

    seconds_least: Positive
    paces_step: Positive


class AnchorKind(Strict):
    """Hold assumed of an unrated anchor of this kind: `of_size_squared` x size^2, at most `most`."""

    of_size_squared: Positive
    most: Positive
    size_least: Positive


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
    launchers: Launchers
    stations: Stations
    window: WindowRules
    haul: HaulRules
    stages: StageRows
    float_check: FloatCheck
    anchor_kinds: dict[str, AnchorKind]


@dataclass(frozen=True, slots=True)
class Provenance:
    """Unit as written in the policy, and the source of the figure."""

    unit: str
    source: str


@dataclass(frozen=True, slots=True)
class Policy:
    """Values in SI, and where each came from, by dotted key."""

    values: PolicyValues
    provenance: Mapping[str, Provenance]

    def entry(self, key: str) -> float | bool:
        """The value of a dotted key, SI, or a switch."""
        found: object = self.values
        for part in key.split("."):
            found = found[part] if isinstance(found, dict) else getattr(found, part)
        if not isinstance(found, bool | int | float):
            raise KeyError(key)
        return found

    def value_of(self, key: str) -> float:
        """The value of a dotted key, SI; a switch is 1 or 0."""
        return float(self.entry(key))


def _entry_fault(path: Path, key: str, what: str, got: object) -> Fault:
    return Fault(
        code="policy_entry",
        severity=Severity.FILE,
        what=what,
        file=str(path),
        field=key,
        got=repr(got),
        allowed="{ value = NUMBER, unit = UNIT, source = TEXT } with a unit of: "
        + ", ".join(repr(unit) for unit in _TO_SI),
        todo="mend the entry",
    )


def _flatten(path: Path, table: Table, prefix: str = "") -> tuple[dict[str, Table], list[Fault]]:
    entries: dict[str, Table] = {}
    faults: list[Fault] = []
    for name, item in table.items():
        key = f"{prefix}{name}"
        if not isinstance(item, dict):
            faults.append(_entry_fault(path, key, "a policy value needs its unit and its source", item))
        elif "value" not in item:
            deeper, more = _flatten(path, item, f"{key}.")
            entries |= deeper
            faults += more
        elif set(item) != {"value", "unit", "source"} or item["unit"] not in _TO_SI:
            faults.append(
                _entry_fault(path, key, "the policy entry is not complete or its unit not known", item)
            )
        elif not isinstance(item["value"], bool | int | float) or not str(item["source"]).strip():
            faults.append(_entry_fault(path, key, "the policy value is no number, or has no source", item))
        else:
            entries[key] = item
    return entries, faults


def _nest(entries: Mapping[str, Table]) -> Table:
    nested: Table = {}
    for key, item in entries.items():
        at = nested
        *folders, last = key.split(".")
        for folder in folders:
            at = at.setdefault(folder, {})
        value = item["value"]
        at[last] = value if isinstance(value, bool) else float(value) * _TO_SI[item["unit"]]
    return nested


def _override(
    path: Path, entries: dict[str, Table], overrides: Mapping[str, float | str | bool]
) -> list[Fault]:
    """Put a county's own values in, in the unit the policy writes them in."""
    faults: list[Fault] = []
    for key, value in overrides.items():
        if key not in entries:
            faults.append(
                Fault(
                    code="policy_key_unknown",
                    severity=Severity.FILE,
                    what="the policy has no such value",
                    file=str(path),
                    field=f"policy.{key}",
                    got=repr(value),
                    allowed="a dotted key of policy.toml, such as limits.factor_track",
                    todo="take the key out or mend its name",
                )
            )
        elif isinstance(value, str) or isinstance(value, bool) != isinstance(entries[key]["value"], bool):
            faults.append(_entry_fault(path, f"policy.{key}", "the policy value is no number", value))
        else:
            entries[key] = entries[key] | {"value": value, "source": "agency's own figure (county.toml)"}
    return faults


def read_policy(
    table: Table, path: Path, *, overrides: Mapping[str, float | str | bool], overrides_path: Path
) -> Policy:
    """Policy from its table and a county's overrides.

    Raises
    ------
    InputFaults
        Every entry that is incomplete, of an unknown unit, out of range, missing or unknown.
    """
    entries, faults = _flatten(path, table)
    faults += _override(overrides_path, entries, overrides)
    if faults:
        raise InputFaults(faults)
    try:
        values = PolicyValues.model_validate(_nest(entries))
    except ValidationError as error:
        raise model_faults(path, error) from None
    return Policy(
        values=values,
        provenance={
            key: Provenance(unit=item["unit"], source=item["source"]) for key, item in entries.items()
        },
    )
