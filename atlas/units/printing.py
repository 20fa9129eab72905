"""SI numbers to printed figures in both systems: unit, step and decimals of each kind.

Which direction a figure is rounded in is decided in `atlas.units.figures` and nowhere else.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum, StrEnum
from types import MappingProxyType
from typing import TYPE_CHECKING, Final

from atlas.units.quantity import Quantity, factor_to_base
from atlas.units.rounding import Toward, round_toward, step_for_digits

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = ["Kind", "Shown", "UnitSystem", "as_printed", "show"]


class UnitSystem(StrEnum):
    """Which units stand first."""

    US = "us"
    SI = "si"


@dataclass(frozen=True, slots=True)
class Shown:
    """A figure as printed.

    Attributes
    ----------
    first : with its unit, in the county's own system: ``148 ft``
    second : the same in the other system, ``45.1 m``; empty where there is only one
    """

    first: str
    second: str = ""

    @property
    def both(self) -> str:
        """``148 ft (45.1 m)``."""
        return f"{self.first} ({self.second})" if self.second else self.first


class Kind(Enum):
    """A kind of printed figure: same units, same steps."""

    ROPE_LENGTH = "rope length"
    DISTANCE = "distance"
    GROUND_DISTANCE = "distance along the bank"
    HEIGHT = "height told with a tape or by eye"
    CLEARANCE = "height over the water, small lengths"
    SPEED = "speed"
    FORCE = "force"
    DISCHARGE = "discharge"
    STAGE = "gauge stage"
    ROPE_DIAMETER = "rope diameter"
    ANCHOR_SIZE = "thickness of an anchor"
    MINUTES = "minutes"
    SECONDS = "seconds"
    FLOAT_SECONDS = "seconds of a float"
    WHOLE_SECONDS = "whole seconds"
    PERCENT = "percent"
    FACTOR = "factor"
    COUNT = "count"
    ANGLE = "angle"


@dataclass(frozen=True, slots=True)
class _Scale:
    """One unit a kind is printed in. `digits` significant digits, or else steps of `step`."""

    unit: str
    converts: tuple[Quantity, str] | None
    step: float
    decimals: int
    digits: int | None = None


def _length(unit: str, name: str, step: float, decimals: int) -> _Scale:
    return _Scale(unit, (Quantity.LENGTH, name), step, decimals)


_M, _FT = "meter", "foot"
# kind -> (US, SI); one scale where both systems print the same
_SCALES: Final[Mapping[Kind, tuple[_Scale, ...]]] = MappingProxyType(
    {
        Kind.ROPE_LENGTH: (_length("ft", _FT, 1.0, 0), _length("m", _M, 0.1, 1)),
        Kind.DISTANCE: (_length("ft", _FT, 1.0, 0), _length("m", _M, 0.1, 1)),
        Kind.GROUND_DISTANCE: (_length("ft", _FT, 1.0, 0), _length("m", _M, 1.0, 0)),
        Kind.HEIGHT: (_length("ft", _FT, 0.5, 1), _length("m", _M, 0.1, 1)),
        Kind.CLEARANCE: (_length("ft", _FT, 0.1, 1), _length("m", _M, 0.05, 2)),
        Kind.SPEED: (
            _Scale("mph", (Quantity.SPEED, "mile / hour"), 0.1, 1),
            _Scale("m/s", (Quantity.SPEED, "meter / second"), 0.1, 1),
        ),
        Kind.FORCE: (
            _Scale("lbf", (Quantity.FORCE, "force_pound"), 10.0, 0),
            _Scale("kN", (Quantity.FORCE, "kilonewton"), 0.1, 1),
        ),
        Kind.DISCHARGE: (
            _Scale("cfs", (Quantity.DISCHARGE, "foot ** 3 / second"), 1.0, 0, digits=3),
            _Scale("m³/s", (Quantity.DISCHARGE, "meter ** 3 / second"), 1.0, 0, digits=3),
        ),
        Kind.STAGE: (_length("ft", _FT, 0.1, 1), _length("m", _M, 0.01, 2)),
        Kind.ROPE_DIAMETER: (_length("mm", "millimeter", 0.1, 1),),
        Kind.ANCHOR_SIZE: (_length("in", "inch", 1.0, 0), _length("cm", "centimeter", 1.0, 0)),
        Kind.MINUTES: (_Scale("min", None, 1.0, 0),),
        Kind.SECONDS: (_Scale("s", None, 0.1, 1),),
        Kind.FLOAT_SECONDS: (_Scale("s", None, 0.5, 1),),
        Kind.WHOLE_SECONDS: (_Scale("s", None, 1.0, 0),),
        Kind.PERCENT: (_Scale("%", None, 1.0, 0),),
        Kind.FACTOR: (_Scale("", None, 0.1, 1),),
        Kind.COUNT: (_Scale("", None, 1.0, 0),),
        Kind.ANGLE: (_Scale("°", None, 1.0, 0),),
    }
)

# Rope sizes by the names they are sold under [common practice, no source]: (mm, inches).
_ROPE_SIZES: Final = (
    (6.0, "1/4"),
    (8.0, "5/16"),
    (9.5, "3/8"),
    (10.0, "3/8"),
    (11.0, "7/16"),
    (12.5, "1/2"),
    (13.0, "1/2"),
    (16.0, "5/8"),
)
_SAME_ROPE_SIZE_MM: Final = 0.2


def _in_unit(value: float, scale: _Scale) -> float:
    return value / factor_to_base(*scale.converts) if scale.converts else value


def _rounded(value: float, scale: _Scale, toward: Toward) -> tuple[float, int]:
    """A figure in the unit of `scale`, rounded, and the decimals it is printed with."""
    converted = _in_unit(value, scale)
    if scale.digits is None:
        return round_toward(converted, step=scale.step, toward=toward), scale.decimals
    step = step_for_digits(converted, scale.digits)
    decimals = next(count for count in range(4) if step >= 10.0**-count)
    return round_toward(converted, step=step, toward=toward), decimals


def _text(value: float, scale: _Scale, toward: Toward) -> str:
    rounded, decimals = _rounded(value, scale, toward)
    gap = " " if scale.unit and scale.unit != "°" else ""
    return f"{rounded:.{decimals}f}{gap}{scale.unit}"


def as_printed(kind: Kind, value: float, *, toward: Toward) -> tuple[float, ...]:
    """The rounded numbers behind `show`, US then SI, each in its printed unit."""
    return tuple(_rounded(value, scale, toward)[0] for scale in _SCALES[kind])


def _show_rope_diameter(value: float, toward: Toward) -> Shown:
    scale = _SCALES[Kind.ROPE_DIAMETER][0]
    rounded, _ = _rounded(value, scale, toward)
    inches = next((text for mm, text in _ROPE_SIZES if abs(rounded - mm) <= _SAME_ROPE_SIZE_MM + 1e-9), None)
    return Shown(f"{rounded:g} {scale.unit}", f"{inches} in" if inches else "")


def show(kind: Kind, value: float, *, toward: Toward, system: UnitSystem = UnitSystem.US) -> Shown:
    """Print one figure in both systems, each rounded by itself in the same direction.

    Parameters
    ----------
    kind : decides units, steps and decimals
    value : in SI: m, m/s, N, m3/s; minutes, seconds, degrees, percent and bare numbers as they are
    toward : the direction of rounding
    system : whose unit stands first; rope diameters are in mm first always

    Raises
    ------
    OutOfRange
        `value` is not finite.
    """
    if kind is Kind.ROPE_DIAMETER:
        return _show_rope_diameter(value, toward)
    texts = [_text(value, scale, toward) for scale in _SCALES[kind]]
    if len(texts) == 1:
        return Shown(texts[0])
    us, si = texts
    return Shown(us, si) if system is UnitSystem.US else Shown(si, us)
