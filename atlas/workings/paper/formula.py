"""Formulas as data: read from text into a small tree, worked out from numbers, nothing else.

A formula is written with names, plain decimals, ``+ - * / **`` and the functions of `FUNCTIONS`. It is
read by Python's own parser and then taken apart by us: whatever is not in this list is refused, and
nothing is ever executed.
"""

from __future__ import annotations

import ast
import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType
from typing import Final

from atlas.faults import OutOfRange

__all__ = [
    "FUNCTIONS",
    "Apply",
    "Join",
    "Name",
    "Negative",
    "Node",
    "Number",
    "evaluate",
    "names_in",
    "parse",
]

FUNCTIONS: Final[Mapping[str, Callable[..., float]]] = MappingProxyType(
    {
        "hypot": math.hypot,
        "sqrt": math.sqrt,
        "cos": math.cos,
        "sin": math.sin,
        "acos": math.acos,
        "tan": math.tan,
        "log": math.log,
        "exp": math.exp,
        "asinh": math.asinh,
        "sinh": math.sinh,
        "max": max,
        "min": min,
        "abs": abs,
    }
)
_CONSTANTS: Final[Mapping[str, float]] = MappingProxyType({"pi": math.pi})
_OPERATORS: Final[Mapping[type[ast.operator], str]] = MappingProxyType(
    {ast.Add: "+", ast.Sub: "-", ast.Mult: "*", ast.Div: "/", ast.Pow: "**"}
)
_WORKS: Final[Mapping[str, Callable[[float, float], float]]] = MappingProxyType(
    {
        "+": lambda left, right: left + right,
        "-": lambda left, right: left - right,
        "*": lambda left, right: left * right,
        "/": lambda left, right: left / right,
        "**": lambda left, right: float(left**right),
    }
)
_LONGEST = 400


@dataclass(frozen=True, slots=True)
class Number:
    """A plain number, as it is written."""

    text: str


@dataclass(frozen=True, slots=True)
class Name:
    """A symbol, or the constant ``pi``."""

    name: str


@dataclass(frozen=True, slots=True)
class Negative:
    """Minus something."""

    inner: Node


@dataclass(frozen=True, slots=True)
class Join:
    """Two parts joined by an operator: ``+ - * / **``."""

    operator: str
    left: Node
    right: Node


@dataclass(frozen=True, slots=True)
class Apply:
    """A function of its arguments."""

    function: str
    arguments: tuple[Node, ...]


Node = Number | Name | Negative | Join | Apply


def _refusal(formula: str, what: str) -> OutOfRange:
    return OutOfRange(
        f"formula {formula!r}: {what}; allowed: names, decimals, + - * / ** and {', '.join(FUNCTIONS)}"
    )


def _node(part: ast.expr, formula: str) -> Node:
    match part:
        case ast.Constant(value=int() | float()) if not isinstance(part.value, bool):
            return Number(ast.get_source_segment(formula, part) or str(part.value))
        case ast.Name(id=name) if name not in FUNCTIONS:
            return Name(name)
        case ast.UnaryOp(op=ast.USub(), operand=operand):
            return Negative(_node(operand, formula))
        case ast.BinOp(left=left, op=operator, right=right) if type(operator) in _OPERATORS:
            return Join(_OPERATORS[type(operator)], _node(left, formula), _node(right, formula))
        case ast.Call(func=ast.Name(id=name), args=arguments, keywords=[]) if name in FUNCTIONS and arguments:
            return Apply(name, tuple(_node(argument, formula) for argument in arguments))
    raise _refusal(formula, f"{type(part).__name__.lower()} is not known here")


@lru_cache(maxsize=1024)
def parse(formula: str) -> Node:
    """The tree of a formula.

    Raises
    ------
    OutOfRange
        It is no formula, too long, or holds anything that is not allowed in one.
    """
    if len(formula) > _LONGEST:
        raise _refusal(formula[:40], "too long")
    try:
        return _node(ast.parse(formula, mode="eval").body, formula)
    except SyntaxError:
        raise _refusal(formula, "no formula") from None


def names_in(node: Node) -> Iterator[str]:
    """Symbols of a formula in the order in which they stand, the constants left out."""
    match node:
        case Name(name=name):
            if name not in _CONSTANTS:
                yield name
        case Negative(inner=inner):
            yield from names_in(inner)
        case Join(left=left, right=right):
            yield from names_in(left)
            yield from names_in(right)
        case Apply(arguments=arguments):
            for argument in arguments:
                yield from names_in(argument)


def evaluate(node: Node, values: Mapping[str, float]) -> float:
    """A formula worked out with the values of its symbols.

    Raises
    ------
    OutOfRange
        A symbol has no value, or the numbers cannot be worked out (a root of less than nothing).
    """
    try:
        return _worked(node, values)
    except (ValueError, ArithmeticError, TypeError) as cause:
        raise OutOfRange(f"formula cannot be worked out: {cause}") from cause


def _worked(node: Node, values: Mapping[str, float]) -> float:
    match node:
        case Number(text=text):
            return float(text)
        case Name(name=name):
            if name in _CONSTANTS:
                return _CONSTANTS[name]
            if name not in values:
                raise OutOfRange(f"formula: the symbol {name} has no value")
            return values[name]
        case Negative(inner=inner):
            return -_worked(inner, values)
        case Join(operator=operator, left=left, right=right):
            return _WORKS[operator](_worked(left, values), _worked(right, values))
        case Apply(function=function, arguments=arguments):
            return float(FUNCTIONS[function](*(_worked(argument, values) for argument in arguments)))
