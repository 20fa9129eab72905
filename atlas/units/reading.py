"""Text and numbers from a file to one number in a base unit, or the reason why not."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import Final

from atlas.faults import clean_text
from atlas.units.quantity import Quantity, base_symbol, factor_to_base, known_unit, units_of

__all__ = ["Allowed", "QuantityProblem", "read_quantity", "shown_raw"]

# Digits and signs are ASCII only; a unit begins with anything that could not belong to a number.
_NUMBER: Final = r"[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]+)?"
_NUMBER_UNIT: Final = re.compile(rf"[ \t]*({_NUMBER})[ \t]*([^\s\d+\-*/.,_^()](?:.*\S)?)?[ \t]*")
_NOT_FINITE_WORDS: Final = frozenset({"nan", "inf", "infinity"})
_LONGEST_TEXT: Final = 60
_FLOAT_BITS: Final = 1024
_EXAMPLES: Final = {
    Quantity.LENGTH: '30 or "102 ft"',
    Quantity.AREA: '84 or "900 ft2"',
    Quantity.SPEED: '2.9 or "6.5 mph"',
    Quantity.DISCHARGE: '52 or "1850 cfs"',
    Quantity.FORCE: '40000 or "9000 lbf"',
    Quantity.MASS: '4.5 or "10 lb"',
    Quantity.MASS_PER_LENGTH: '0.104 or "0.07 lb/ft"',
    Quantity.MINUTES: '45 or "1.5 h"',
    Quantity.ANGLE: '215 or "215 deg"',
    Quantity.PERCENT: '4 or "4 %"',
}


@dataclass(frozen=True, slots=True)
class QuantityProblem:
    """Why something is not a quantity.

    Attributes
    ----------
    code : ``not_a_number``, ``not_finite``, ``empty``, ``unit_missing``, ``unit_unknown``,
        ``unit_wrong_kind``, ``not_positive``, ``negative``, ``too_small`` or ``too_large``
    what : what is wrong, in words
    got : what stood there
    allowed : what would have been accepted
    todo : what to do about it
    """

    code: str
    what: str
    got: str
    allowed: str
    todo: str


@dataclass(frozen=True, slots=True)
class Allowed:
    """Limits of what is plausible, in the quantity's base unit.

    Attributes
    ----------
    least, most : bounds, both allowed
    positive : zero is refused too, as not positive
    """

    least: float
    most: float
    positive: bool = False


def _shown_number(raw: float) -> str:
    if isinstance(raw, int) and raw.bit_length() > _FLOAT_BITS:
        return "a number of more than 300 digits"
    return clean_text(repr(raw), longest=_LONGEST_TEXT)


def shown_raw(raw: object) -> str:
    """Something read from a file, as text for a message: short, and as it stood in the file."""
    match raw:
        case None:
            text = "nothing (null)"
        case bool():
            text = "true" if raw else "false"
        case str():
            text = f'"{clean_text(raw, longest=_LONGEST_TEXT)}"'
        case int() | float():
            text = _shown_number(raw)
        case list() | tuple():
            text = f"a list of {len(raw)}"
        case dict():
            text = "an object"
        case _:
            text = clean_text(str(raw), longest=_LONGEST_TEXT)
    return text


def _units_text(quantity: Quantity) -> str:
    return ", ".join(units_of(quantity))


def _plain(quantity: Quantity) -> str:
    """What is accepted: a number in the base unit, or a number with one of our units."""
    return f"a number in {base_symbol(quantity)}, or a number with one of {_units_text(quantity)}"


def _problem(quantity: Quantity, code: str, what: str, raw: object) -> QuantityProblem:
    todo = f"write it like {_EXAMPLES[quantity]}"
    return QuantityProblem(code, what, shown_raw(raw), _plain(quantity), todo)


def _unit_problem(quantity: Quantity, raw: str, unit: str) -> QuantityProblem:
    for other in Quantity:
        if known_unit(other, unit) is not None:
            kind = other.value.replace("_", " ")
            asked = quantity.value.replace("_", " ")
            what = f"'{unit}' is a unit of {kind}, not of {asked}"
            return QuantityProblem(
                "unit_wrong_kind", what, shown_raw(raw), _units_text(quantity), "give the unit that was meant"
            )
    what = f"unknown unit '{clean_text(unit, longest=20)}'"
    todo = "use one of these units, spelled so; capitals count"
    return QuantityProblem("unit_unknown", what, shown_raw(raw), _units_text(quantity), todo)


def _no_number(raw: str, quantity: Quantity) -> QuantityProblem:
    """Why text that does not look like a number with or without a unit is not one."""
    word = raw.strip()
    if not word:
        return _problem(quantity, "empty", "empty text where a number belongs", raw)
    if word.lstrip("+-").lower() in _NOT_FINITE_WORDS:
        return _problem(quantity, "not_finite", "not a finite number", raw)
    return _problem(quantity, "not_a_number", "text where a number belongs", raw)


def _read_text(raw: str, quantity: Quantity) -> float | QuantityProblem:
    match = _NUMBER_UNIT.fullmatch(raw) if len(raw) <= _LONGEST_TEXT else None
    if match is None:
        return _no_number(raw, quantity)
    number, unit = match.groups()
    value = float(number)
    if not math.isfinite(value):
        return _problem(quantity, "not_finite", "not a finite number", raw)
    if unit is None:
        return _problem(quantity, "unit_missing", "a number as text, without its unit", raw)
    name = known_unit(quantity, unit)
    if name is None:
        return _unit_problem(quantity, raw, unit)
    return value * factor_to_base(quantity, name)


def _read_number(raw: float, quantity: Quantity) -> float | QuantityProblem:
    try:
        value = float(raw)
    except OverflowError:
        value = math.inf
    if not math.isfinite(value):
        return _problem(quantity, "not_finite", "not a finite number", raw)
    return value


def _range_text(quantity: Quantity, allowed: Allowed) -> str:
    unit = base_symbol(quantity)
    lower = f"more than 0 {unit}" if allowed.positive else f"from {allowed.least:g} {unit}"
    return f"{lower}, at most {allowed.most:g} {unit}"


def _outside(value: float, quantity: Quantity, allowed: Allowed, raw: object) -> QuantityProblem | None:
    if allowed.positive and value <= 0.0:
        code, what = "not_positive", f"a {quantity.value.replace('_', ' ')} that is not more than zero"
    elif value < allowed.least:
        negative = allowed.least == 0.0
        code, what = ("negative", "a negative number") if negative else ("too_small", "implausibly small")
    elif value > allowed.most:
        code, what = "too_large", "implausibly large"
    else:
        return None
    todo = "check number and unit against the survey notes"
    return QuantityProblem(code, what, shown_raw(raw), _range_text(quantity, allowed), todo)


def read_quantity(raw: object, quantity: Quantity, allowed: Allowed | None = None) -> float | QuantityProblem:
    """Read a number in the base unit, or text ``NUMBER UNIT``.

    Parameters
    ----------
    raw : what stood in the file
    quantity : what it has to be
    allowed : limits in the base unit; None allows every finite number

    Returns
    -------
    float or QuantityProblem
        The value in the base unit of `quantity` (m, m/s, m3/s, N, kg, kg/m, min, degrees, percent),
        finite; or why it cannot be one. Nothing is evaluated: one number, one unit of our own list.
    """
    if isinstance(raw, str):
        value = _read_text(raw, quantity)
    elif isinstance(raw, (int, float)) and not isinstance(raw, bool):
        value = _read_number(raw, quantity)
    else:
        return _problem(quantity, "not_a_number", "not a number", raw)
    if isinstance(value, QuantityProblem):
        return value
    if not math.isfinite(value):
        return _problem(quantity, "not_finite", "not a finite number", raw)
    if allowed is not None:
        problem = _outside(value, quantity, allowed, raw)
        if problem is not None:
            return problem
    return value
