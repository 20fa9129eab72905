"""A derivation as data: what is given, what follows by which formula, what is checked.

Numbers are kept as they are printed, so that a reader, and `atlas.workings.paper.recompute`, can work out
every line from the numbers on the paper.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

__all__ = [
    "Chapter",
    "Check",
    "Entry",
    "Given",
    "Instance",
    "Quantity",
    "Relation",
    "Remark",
    "Step",
    "Table",
    "Value",
    "display_symbol",
    "sided",
]


_ROUND_OFF = 1e-12


@dataclass(frozen=True, slots=True)
class Value:
    """A number with its symbol, as it is printed.

    Attributes
    ----------
    symbol : a name for formulas; what follows the first underscore is its index
    value : unrounded
    unit : SI
    decimals : printed
    """

    symbol: str
    value: float
    unit: str = ""
    decimals: int = 2

    @property
    def text(self) -> str:
        """The number as it is printed."""
        text = f"{self.value:.{self.decimals}f}"
        return text.lstrip("-") if float(text) == 0.0 else text

    @property
    def printed(self) -> float:
        """The number that a reader finds."""
        return float(self.text)

    @property
    def half_step(self) -> float:
        """How far the printed number may be from the unrounded one: nothing where all its digits are there.

        A policy's 0.85 is 0.85; a solved 0.85 stands for 0.845 to 0.855.
        """
        whole = abs(self.value - self.printed) <= _ROUND_OFF * max(1.0, abs(self.value))
        return 0.0 if whole else 0.5 * 10.0**-self.decimals

    def same_print(self, other: Value) -> bool:
        """Whether both are the same symbol with the same number and unit on paper."""
        return (self.symbol, self.text, self.unit) == (other.symbol, other.text, other.unit)


class Relation(StrEnum):
    """What a check asks."""

    AT_LEAST = ">="
    AT_MOST = "<="


@dataclass(frozen=True, slots=True)
class Given:
    """An input, a decision or a solved unknown: the number and where it comes from."""

    title: str
    result: Value
    source: str
    shown: str = ""
    """As the sheet rounds it, in both systems."""


@dataclass(frozen=True, slots=True)
class Step:
    """A formula with its numbers put in, and what comes out.

    Attributes
    ----------
    values : of the symbols in the formula
    """

    title: str
    result: Value
    formula: str
    values: tuple[Value, ...]
    source: str
    shown: str = ""


@dataclass(frozen=True, slots=True)
class Check:
    """Two numbers held against each other; `holds` is the program's verdict on the unrounded ones."""

    title: str
    left: Value
    relation: Relation
    right: Value
    holds: bool
    source: str


@dataclass(frozen=True, slots=True)
class Quantity:
    """What one row or column of a table holds; with a formula where it follows from others of the table.

    ``symbol`` is without the side's index, which `sided` adds.
    """

    title: str
    symbol: str
    unit: str
    formula: str | None = None


@dataclass(frozen=True, slots=True)
class Instance:
    """One thing of a table: its name, the index its symbols get, and a cell for every quantity."""

    name: str
    side: str
    cells: tuple[Value | str, ...]
    """Text where there is no number: a dash, a word."""


@dataclass(frozen=True, slots=True)
class Table:
    """Several things alike, each with the same quantities.

    Attributes
    ----------
    uses : values from outside that its formulas need, printed with it
    across : quantities run down and things across, as for the two sides of a line
    """

    title: str
    quantities: tuple[Quantity, ...]
    instances: tuple[Instance, ...]
    uses: tuple[Value, ...] = ()
    source: str = ""
    across: bool = False


@dataclass(frozen=True, slots=True)
class Remark:
    """A sentence."""

    text: str
    strong: bool = False


Entry = Given | Step | Check | Table | Remark


@dataclass(frozen=True, slots=True)
class Chapter:
    """A part of the derivation under one heading.

    Attributes
    ----------
    code : stable name
    exports : symbols that hold after the chapter; the others hold in it alone. None keeps all
    """

    code: str
    title: str
    entries: tuple[Entry, ...]
    exports: frozenset[str] | None = None


def display_symbol(symbol: str) -> tuple[str, str]:
    """Letter and index of a symbol."""
    letter, _, index = symbol.partition("_")
    return letter, index.replace("_", ",")


def sided(symbol: str, side: str) -> str:
    """The symbol of one side, case or line: the side is added to its index."""
    if not side:
        return symbol
    return f"{symbol}{side}" if "_" in symbol else f"{symbol}_{side}"


def table_lines(table: Table) -> Iterator[tuple[Instance, Quantity, Value]]:
    """Every number of a table with what it is of."""
    for instance in table.instances:
        for quantity, cell in zip(table.quantities, instance.cells, strict=True):
            if isinstance(cell, Value):
                yield instance, quantity, cell
