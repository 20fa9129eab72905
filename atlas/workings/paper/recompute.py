"""Every printed line worked out again from the printed numbers.

A rounded number stands for all that round to it. So a line may miss its result by what the rounding of
its numbers carries into it: for each number the change of the result over half its last digit, all of
them added, and half the last digit of the result itself. More is a fault of the derivation.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from atlas.faults import OutOfRange
from atlas.workings.paper.entries import (
    Chapter,
    Check,
    Entry,
    Given,
    Quantity,
    Relation,
    Remark,
    Step,
    Table,
    Value,
    sided,
    table_lines,
)
from atlas.workings.paper.formula import Node, evaluate, names_in, parse

__all__ = ["Line", "faults_of", "lines_of"]

_ROUND_OFF = 1e-9


@dataclass(frozen=True, slots=True)
class Line:
    """A line with its formula worked out from printed numbers.

    Attributes
    ----------
    recomputed : from the numbers as printed
    allowed : how far that may be from the printed result
    """

    where: str
    formula: str
    result: Value
    values: tuple[Value, ...]
    recomputed: float
    allowed: float

    @property
    def missed(self) -> float:
        """How far the printed result is from what its numbers give."""
        return abs(self.recomputed - self.result.printed)

    @property
    def closes(self) -> bool:
        """Whether the line can be worked out by hand."""
        return self.missed <= self.allowed


def _carried(node: Node, numbers: Mapping[str, float], value: Value, middle: float) -> float:
    """How far the result moves over the half step of one number."""
    moved = []
    for sign in (-1.0, 1.0):
        shifted = {**numbers, value.symbol: value.printed + sign * value.half_step}
        moved.append(abs(evaluate(node, shifted) - middle))
    return max(moved)


def recomputed(where: str, formula: str, result: Value, values: Sequence[Value]) -> Line:
    """A line worked out from its printed numbers.

    Raises
    ------
    OutOfRange
        The formula names a symbol that `values` lacks.
    """
    node = parse(formula)
    numbers = {value.symbol: value.printed for value in values}
    middle = evaluate(node, numbers)
    carried = sum(_carried(node, numbers, value, middle) for value in values)
    slack = _ROUND_OFF * max(1.0, abs(middle))
    return Line(where, formula, result, tuple(values), middle, carried + result.half_step + slack)


@dataclass(slots=True)
class _Reader:
    """Reads a derivation in its order, as its reader does: what was told, and what does not follow."""

    known: dict[str, Value]
    faults: list[str]
    lines: list[Line]

    def tell(self, value: Value, where: str) -> None:
        """A number is told; told again, it is the same."""
        before = self.known.get(value.symbol)
        if before is not None and not before.same_print(value):
            self.faults.append(f"{where}: {value.symbol} is {value.text}, but was {before.text}")
        self.known[value.symbol] = value

    def need(self, value: Value, where: str) -> None:
        """A number is used as it was told."""
        before = self.known.get(value.symbol)
        if before is None:
            self.faults.append(f"{where}: {value.symbol} is used, but was never told")
        elif not before.same_print(value):
            self.faults.append(f"{where}: {value.symbol} is used as {value.text}, told as {before.text}")

    def line(self, where: str, formula: str, result: Value, values: Sequence[Value]) -> None:
        """A formula with its numbers and its result."""
        named = set(names_in(parse(formula)))
        if named != {value.symbol for value in values}:
            self.faults.append(f"{where}: the numbers put in are not those of the formula")
            return
        line = recomputed(where, formula, result, values)
        self.lines.append(line)
        if not line.closes:
            self.faults.append(
                f"{where}: {result.symbol} = {formula} gives {line.recomputed:.8g} from its numbers,"
                f" printed {result.text}; allowed {line.allowed:.2g} apart"
            )

    def step(self, where: str, step: Step) -> None:
        for value in step.values:
            self.need(value, where)
        self.line(where, step.formula, step.result, step.values)
        self.tell(step.result, where)

    def check(self, where: str, check: Check) -> None:
        self.need(check.left, where)
        self.need(check.right, where)
        gap = check.left.printed - check.right.printed
        if check.relation is Relation.AT_MOST:
            gap = -gap
        rounding = check.left.half_step + check.right.half_step + _ROUND_OFF
        if (gap < -rounding and check.holds) or (gap > rounding and not check.holds):
            self.faults.append(f"{where}: the verdict does not follow from its numbers")

    def table(self, where: str, table: Table) -> None:
        for value in table.uses:
            self.need(value, where)
        for instance in table.instances:
            own = {
                quantity.symbol: cell
                for quantity, cell in zip(table.quantities, instance.cells, strict=True)
                if isinstance(cell, Value)
            }
            for quantity in table.quantities:
                if quantity.formula is not None and quantity.symbol in own:
                    self._cell(f"{where}, {instance.name}", quantity, own, table.uses)
        for instance, quantity, value in table_lines(table):
            if instance.side:
                self.tell(_named(value, sided(quantity.symbol, instance.side)), where)

    def _cell(self, where: str, quantity: Quantity, own: Mapping[str, Value], uses: Sequence[Value]) -> None:
        formula = quantity.formula or quantity.symbol
        outside = {one.symbol: one for one in uses}
        found = []
        for name in dict.fromkeys(names_in(parse(formula))):
            cell = own.get(name) or outside.get(name)
            if cell is None:
                self.faults.append(f"{where}: {quantity.symbol} needs {name}, which the table lacks")
                return
            found.append(cell)
        self.line(where, formula, own[quantity.symbol], found)

    def entry(self, where: str, entry: Entry) -> None:
        match entry:
            case Given():
                self.tell(entry.result, where)
            case Step():
                self.step(where, entry)
            case Check():
                self.check(where, entry)
            case Table():
                self.table(where, entry)
            case Remark():
                pass


def _named(value: Value, symbol: str) -> Value:
    return Value(symbol, value.value, value.unit, value.decimals)


def _read(chapters: Sequence[Chapter]) -> _Reader:
    reader = _Reader({}, [], [])
    for chapter in chapters:
        before = dict(reader.known)
        for place, entry in enumerate(chapter.entries, 1):
            title = entry.text if isinstance(entry, Remark) else entry.title
            reader.entry(f"{chapter.code} {place}, {title}", entry)
        if chapter.exports is not None:
            kept = {name: value for name, value in reader.known.items() if name in chapter.exports}
            reader.known = {**before, **kept}
    return reader


def lines_of(chapters: Sequence[Chapter]) -> tuple[Line, ...]:
    """Every line with a formula, worked out from the numbers as printed."""
    return tuple(_read(chapters).lines)


def faults_of(chapters: Sequence[Chapter]) -> Iterator[str]:
    """Where a reader with a pocket calculator would be stopped: empty where everything follows.

    A number used before it is told or otherwise than told, a line that its numbers do not give, a
    verdict that its numbers do not bear out.
    """
    try:
        yield from _read(chapters).faults
    except OutOfRange as cause:
        yield str(cause)
