"""Which units a quantity may be given in, how they may be spelled, and their exact factors."""

from __future__ import annotations

import functools
from enum import StrEnum
from fractions import Fraction
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Final

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = ["Quantity", "base_symbol", "factor_to_base", "known_unit", "spellings_of", "units_of"]


class Quantity(StrEnum):
    """A kind of measure. A bare number is in its base unit, the first of `units_of`."""

    LENGTH = "length"
    AREA = "area"
    SPEED = "speed"
    DISCHARGE = "discharge"
    FORCE = "force"
    MASS = "mass"
    MASS_PER_LENGTH = "mass_per_length"
    MINUTES = "minutes"
    ANGLE = "angle"
    PERCENT = "percent"


# quantity -> name of the unit for the converting library -> spellings; the first unit is the base,
# the first spelling the one that is printed. Case counts: kN is a force, kn a speed.
_UNITS: Final[Mapping[Quantity, Mapping[str, tuple[str, ...]]]] = MappingProxyType(
    {
        Quantity.LENGTH: {
            "meter": ("m", "metre", "metres", "meter", "meters"),
            "foot": ("ft", "FT", "foot", "feet", "'", "\N{PRIME}"),
            "inch": ("in", "inch", "inches", '"', "\N{DOUBLE PRIME}"),
            "yard": ("yd", "yard", "yards"),
            "centimeter": ("cm",),
            "millimeter": ("mm",),
            "kilometer": ("km",),
            "mile": ("mi", "mile", "miles"),
        },
        Quantity.AREA: {
            "meter ** 2": ("m2", "m²", "m^2"),
            "foot ** 2": ("ft2", "ft²", "ft^2"),
        },
        Quantity.SPEED: {
            "meter / second": ("m/s", "mps"),
            "mile / hour": ("mph", "MPH", "mi/h"),
            "foot / second": ("ft/s", "fps"),
            "kilometer / hour": ("km/h", "kph"),
            "knot": ("kn", "kt", "knot", "knots"),
        },
        Quantity.DISCHARGE: {
            "meter ** 3 / second": ("m3/s", "m³/s", "m^3/s", "cms"),
            "foot ** 3 / second": ("cfs", "CFS", "ft3/s", "ft³/s", "ft^3/s"),
            "liter / second": ("l/s", "L/s"),
        },
        Quantity.FORCE: {
            "newton": ("N",),
            "kilonewton": ("kN",),
            "force_pound": ("lbf", "lb", "lbs"),
            "decanewton": ("daN",),
        },
        Quantity.MASS: {
            "kilogram": ("kg",),
            "gram": ("g",),
            "pound": ("lb", "lbs"),
        },
        Quantity.MASS_PER_LENGTH: {
            "kilogram / meter": ("kg/m",),
            "gram / meter": ("g/m",),
            "pound / foot": ("lb/ft",),
        },
        Quantity.MINUTES: {
            "minute": ("min", "mins", "minute", "minutes"),
            "hour": ("h", "hr", "hrs", "hour", "hours"),
            "second": ("s", "sec", "second", "seconds"),
        },
        Quantity.ANGLE: {
            "degree": ("deg", "°", "degree", "degrees"),
        },
        Quantity.PERCENT: {
            "percent": ("%", "percent"),
        },
    }
)


@functools.cache
def _by_spelling(quantity: Quantity) -> dict[str, str]:
    return {spelling: unit for unit, spellings in _UNITS[quantity].items() for spelling in spellings}


def known_unit(quantity: Quantity, spelling: str) -> str | None:
    """Name of the unit that `spelling` stands for in `quantity`, or None."""
    return _by_spelling(quantity).get(spelling)


def units_of(quantity: Quantity) -> tuple[str, ...]:
    """The printed spelling of each unit of `quantity`, the base unit first."""
    return tuple(spellings[0] for spellings in _UNITS[quantity].values())


def spellings_of(quantity: Quantity) -> tuple[str, ...]:
    """Every accepted spelling of every unit of `quantity`."""
    return tuple(_by_spelling(quantity))


def base_symbol(quantity: Quantity) -> str:
    """Symbol of the unit a bare number of `quantity` is in."""
    return units_of(quantity)[0]


@functools.cache
def _registry() -> Any:  # noqa: ANN401 - the library's registry class is generic over its number type
    import pint  # noqa: PLC0415 - 0.3 s, and files in SI never need it

    return pint.UnitRegistry(non_int_type=Fraction)


@functools.cache
def factor_to_base(quantity: Quantity, unit: str) -> float:
    """What one `unit` is in the base unit of `quantity`.

    Parameters
    ----------
    quantity : the kind of measure
    unit : a unit's name as `known_unit` gives it

    Notes
    -----
    Computed in exact fractions and rounded once: 1 ft is 0.3048 m and not 0.30479999999999996.
    """
    base = next(iter(_UNITS[quantity]))
    if unit == base:
        return 1.0
    registry = _registry()
    return float(registry.Quantity(Fraction(1), unit).to(base).magnitude)
