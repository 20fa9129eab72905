"""The line that hangs lower than the carriage's hardware, worked out as a catenary."""

from __future__ import annotations

from collections.abc import Sequence

from atlas.plan import LowestLine
from atlas.workings.paper.entries import Instance, Quantity, Value
from atlas.workings.paper.formula import evaluate, parse
from atlas.workings.paper.ledger import Ledger

__all__ = ["lowest_lines"]

# What follows from the line's ends, tension and weight, in the order in which it is worked out: word, symbol,
# decimals, formula.
_WORKED = (
    ("catenary", "c", 3, "T * X / (hypot(X, Z) * w)"),
    ("lowest_place", "x_0", 4, "X / 2 - c * asinh(Z / (2 * c * sinh(X / (2 * c))))"),
    ("lowest_wet", "x_w", 4, "min(max(x_0, d * X), X)"),
    ("lowest_height", "C", 3, "e + 2 * c * sinh((x_w + X - 2 * x_0) / (2 * c)) * sinh((x_w - X) / (2 * c))"),
)
_GIVEN = (
    ("line_run", "X", "m", 4),
    ("line_rise", "Z", "m", 4),
    ("line_tension", "T", "N", 3),
    ("line_weight", "w", "N/m", 5),
    ("line_dry", "d", "", 5),
    ("line_end", "e", "m", 4),
)


def lowest_lines(ledger: Ledger, lines: Sequence[tuple[str, str, LowestLine]]) -> None:
    """Each line's lowest place over water from its ends; `lines` are names, indices and what is known."""
    if not lines:
        return
    quantities = (
        *(Quantity(ledger.title(key), symbol, unit) for key, symbol, unit, _ in _GIVEN),
        *(Quantity(ledger.title(key), symbol, "m", formula) for key, symbol, _, formula in _WORKED),
    )
    instances = []
    for name, index, line in lines:
        told = (line.run_m, line.rise_m, line.tension_n, line.weight_n_m, line.dry_share, line.carriage_end_m)
        cells = [
            Value(symbol, value, unit, decimals)
            for (_, symbol, unit, decimals), value in zip(_GIVEN, told, strict=True)
        ]
        numbers = {cell.symbol: cell.value for cell in cells}
        for _, symbol, decimals, formula in _WORKED:
            numbers[symbol] = float(evaluate(parse(formula), numbers))
            cells.append(Value(symbol, numbers[symbol], "m", decimals))
        instances.append(Instance(name, index, tuple(cells)))
    ledger.table("lowest_lines", quantities, instances, source=ledger.source("catenary_line"), across=True)
