"""Formulas set as an engineer writes them, with their symbols or with numbers in the symbols' places."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from atlas.workings.paper.entries import Value
from atlas.workings.paper.formula import Apply, Join, Name, Negative, Node, Number
from atlas.workings.paper.typeset import MINUS, Ink, Typesetter, beside

__all__ = ["FormulaSetter", "figures", "sum_terms", "with_numbers", "with_symbols"]

_THIN_EM, _WIDE_EM = 0.12, 0.24
_WORDS = {"log": "ln", "asinh": "arsinh", "acos": "arccos"}
_SUM, _PRODUCT, _POWER, _ATOM = 1, 2, 3, 4
_OPERATORS = {"+": "+", "-": MINUS, "*": "·"}


def _strength(node: Node) -> int:
    """How firmly a node holds together."""
    match node:
        case Join(operator="+" | "-") | Negative():
            return _SUM
        case Join(operator="*" | "/"):
            return _PRODUCT
        case Join(operator="**"):
            return _POWER
        case Number(text=text) if text.startswith("-"):
            return _SUM
    return _ATOM


Leaf = Callable[[str], Ink]
"""How a symbol is set: as a letter, or as its number."""


@dataclass(frozen=True, slots=True)
class FormulaSetter:
    """Sets one formula, its symbols by `leaf`; `strengths` tells leaves that need brackets."""

    types: Typesetter
    leaf: Leaf
    negatives: frozenset[str] = frozenset()

    def inner(self, node: Node, least: int) -> Ink:
        """A part of a formula, in brackets where it holds less firmly than it must."""
        weak = _strength(node) < least or (
            isinstance(node, Name) and node.name in self.negatives and least > 0
        )
        ink = self.set(node)
        return self.types.fenced(ink) if weak else ink

    def set(self, node: Node) -> Ink:
        """A formula."""
        types = self.types
        match node:
            case Number(text=text):
                ink = types.text(text)
            case Name(name="pi"):
                ink = types.symbol("pi")
            case Name(name=name):
                ink = self.leaf(name)
            case Negative(inner=inner):
                ink = beside([types.text(MINUS), self.inner(inner, _PRODUCT)], 0.1)
            case Join():
                ink = self._join(node)
            case Apply():
                ink = self._apply(node)
        return ink

    def _join(self, node: Join) -> Ink:
        types, left, right = self.types, node.left, node.right
        if node.operator == "/":
            return types.fraction(self.inner(left, 0), self.inner(right, 0))
        if node.operator == "**":
            return types.power(self._base(left), self._power(right))
        sign = types.text(_OPERATORS[node.operator])
        if node.operator == "*":
            parts = [self.inner(left, _PRODUCT), sign, self.inner(right, _PRODUCT)]
            return beside(parts, _THIN_EM * types.em)
        least = _PRODUCT if node.operator == "-" else _SUM
        return beside([self.inner(left, 0), sign, self.inner(right, least)], _WIDE_EM * types.em)

    def _base(self, node: Node) -> Ink:
        ink = self.set(node)
        tall = isinstance(node, Name) and node.name in self.negatives
        return self.types.fenced(ink) if _strength(node) < _ATOM or tall else ink

    def _power(self, node: Node) -> Ink:
        small = replace(self.types, letter=self.types.index, plain=self.types.index)
        own = self.leaf
        ink = FormulaSetter(small, own, self.negatives).set(node)
        return replace(ink, texts=tuple((x, y, text, self.types.index) for x, y, text, _ in ink.texts))

    def _square(self, node: Node) -> Ink:
        if node == Number("1"):
            return self.types.text("1")
        return self.types.power(self._base(node), self.types.text("2", self.types.index))

    def _apply(self, node: Apply) -> Ink:
        types = self.types
        if node.function == "sqrt":
            return types.root(self.inner(node.arguments[0], 0))
        if node.function == "hypot":
            squares = [self._square(part) for part in node.arguments]
            between: list[Ink] = []
            for square in squares:
                between += [types.text("+"), square] if between else [square]
            return types.root(beside(between, _WIDE_EM * types.em))
        if node.function == "abs":
            return types.fenced(self.inner(node.arguments[0], 0), "|", "|")
        parts: list[Ink] = []
        for argument in node.arguments:
            parts += (
                [types.text(",").moved(0, 0), self.inner(argument, 0)] if parts else [self.inner(argument, 0)]
            )
        name = types.text(_WORDS.get(node.function, node.function))
        return beside([name, types.fenced(beside(parts, 0.35))], 0.25)


def sum_terms(node: Node) -> list[tuple[str, Node]]:
    """A formula taken apart at its outermost plus and minus, for a line that has to break."""
    match node:
        case Join(operator="+" | "-" as operator, left=left, right=right):
            return [*sum_terms(left), (operator, right)]
    return [("", node)]


def with_symbols(types: Typesetter) -> FormulaSetter:
    """Sets a formula with its letters."""
    return FormulaSetter(types, types.symbol)


def with_numbers(types: Typesetter, values: Mapping[str, Value]) -> FormulaSetter:
    """Sets a formula with the printed numbers in the places of its letters."""
    negatives = frozenset(name for name, value in values.items() if value.printed < 0.0)
    return FormulaSetter(types, lambda name: types.text(figures(values[name])), negatives)


def figures(value: Value) -> str:
    """A printed number with the minus of the typeface."""
    return value.text.replace("-", MINUS)
