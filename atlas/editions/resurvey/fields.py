"""What a field form asks of a site: each box with last year's value and the unit of a bare number."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from atlas.survey.nested import FlowNoteProperties
from atlas.survey.properties import AccessProperties, AnchorProperties, Condition, LaunchMethod
from atlas.survey.raw import RawFeature
from atlas.survey.table import PropertyTable
from atlas.survey.values import Measure
from atlas.units import Quantity, UnitSystem, base_symbol

__all__ = [
    "ACCESS",
    "ANCHOR",
    "FLOATS",
    "FLOW",
    "GONE",
    "NEW_ANCHORS",
    "TAKEN_OUT",
    "FormField",
    "access_fields",
    "anchor_fields",
    "flow_fields",
    "last_value",
    "new_anchor_fields",
    "unit_of",
]

ACCESS = (
    "surveyed", "stage", "planning_stage", "gauge", "width", "reach_down", "near_run", "launch_method",
    "far_minutes", "road", "far_access", "radio", "medical", "permission", "notes",
)  # fmt: skip
"""Properties of the access feature, in the order in which they are asked."""
ANCHOR = ("height", "diameter", "rating", "condition", "note")
"""Properties of an anchor, and in a new one."""
NEW_ANCHORS = 2
FLOW = ("stage", "discharge", "width", "depth", "surface_speed")
"""Of a flow note; its day is that of the survey."""
FLOATS = ("distance", "seconds_1", "seconds_2", "seconds_3")
"""Of the float timing that the speed of a flow note may come from."""
GONE = "gone"
YES = "yes"
TAKEN_OUT = "-"
"""Written in a box: last year's value is no longer true, and nothing takes its place."""

_CHOICES: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "launch_method": tuple(word.value for word in LaunchMethod),
        "condition": tuple(word.value for word in Condition),
        "bank": ("near", "far"),
        "use": ("track", "ferry", "up_down"),
        GONE: (YES,),
    }
)
_US: Mapping[Quantity, str] = MappingProxyType(
    {Quantity.LENGTH: "ft", Quantity.SPEED: "mph", Quantity.DISCHARGE: "cfs", Quantity.FORCE: "lbf"}
)
_SI: Mapping[Quantity, str] = MappingProxyType({Quantity.FORCE: "kN"})
_IN_INCHES = "diameter"


@dataclass(frozen=True, slots=True)
class FormField:
    """A box to be filled.

    Attributes
    ----------
    name : its name in the form, such as ``anchor/3/height``
    key : of the property, by which the wording names it
    last : last year's value as the survey has it; empty where it says nothing
    unit : of a bare number in the box; empty for words
    choices : what may be chosen; empty for free text
    """

    name: str
    key: str
    last: str = ""
    unit: str = ""
    choices: tuple[str, ...] = ()


def _quantity(table: type[PropertyTable], key: str) -> Quantity | None:
    readers = {one.name: one.reader for one in table.properties()}
    reader = readers.get(key)
    return reader.quantity if isinstance(reader, Measure) else None


def _unit(quantity: Quantity | None, key: str, units: UnitSystem) -> str:
    if quantity is None:
        return ""
    if units is UnitSystem.US:
        return "in" if key == _IN_INCHES else _US.get(quantity, base_symbol(quantity))
    return _SI.get(quantity, base_symbol(quantity))


def unit_of(table: type[PropertyTable], key: str, units: UnitSystem) -> str:
    """The unit in which a form asks a property; empty for words."""
    return _unit(_quantity(table, key), key, units)


def last_value(table: type[PropertyTable], key: str, raw: object) -> str:
    """A value as the survey has it, a bare number with its base unit."""
    if raw is None:
        return ""
    quantity = _quantity(table, key)
    if quantity is not None and isinstance(raw, int | float):
        return f"{raw} {base_symbol(quantity)}".rstrip()
    return str(raw)


def _field(name: str, table: type[PropertyTable], key: str, raw: object, units: UnitSystem) -> FormField:
    return FormField(
        name=name,
        key=key,
        last=last_value(table, key, raw),
        unit=unit_of(table, key, units),
        choices=_CHOICES.get(key, ()),
    )


def access_fields(access: RawFeature, units: UnitSystem) -> Iterator[FormField]:
    """What is asked of the site as a whole."""
    for key in ACCESS:
        yield _field(f"access/{key}", AccessProperties, key, access.properties.get(key), units)


def anchor_fields(anchor: RawFeature, units: UnitSystem) -> Iterator[FormField]:
    """What is asked of an anchor, by its number in the survey file."""
    for key in ANCHOR:
        name = f"anchor/{anchor.number}/{key}"
        yield _field(name, AnchorProperties, key, anchor.properties.get(key), units)
    yield FormField(f"anchor/{anchor.number}/{GONE}", GONE, choices=_CHOICES[GONE])


def new_anchor_fields(number: int, units: UnitSystem) -> Iterator[FormField]:
    """What is asked of an anchor that the survey does not have."""
    for key in ("tag", "bank", "use", "kind", *ANCHOR):
        yield _field(f"new/{number}/{key}", AnchorProperties, key, None, units)
    yield FormField(f"new/{number}/place", "place")


def flow_fields(units: UnitSystem) -> Iterator[FormField]:
    """What is asked of the river that day."""
    for key in FLOW:
        yield _field(f"flow/{key}", FlowNoteProperties, key, None, units)
    yield FormField("flow/distance", "distance", unit=unit_of(AccessProperties, "width", units))
    for key in FLOATS[1:]:
        yield FormField(f"flow/{key}", key, unit="s")
    yield FormField("flow/note", "note")
