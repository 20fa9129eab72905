"""Text to SI, and SI to print: each printed figure with its unit, its step and its rounding direction."""

from atlas.units.figures import Figure, printed, printed_window
from atlas.units.printing import Kind, Shown, UnitSystem, show
from atlas.units.quantity import Quantity, base_symbol, spellings_of, units_of
from atlas.units.reading import Allowed, QuantityProblem, read_quantity, shown_raw
from atlas.units.rounding import Toward, round_toward

__all__ = [
    "Allowed",
    "Figure",
    "Kind",
    "Quantity",
    "QuantityProblem",
    "Shown",
    "Toward",
    "UnitSystem",
    "base_symbol",
    "printed",
    "printed_window",
    "read_quantity",
    "round_toward",
    "show",
    "shown_raw",
    "spellings_of",
    "units_of",
]
