"""One step of the derivation as plain data: a title, remarks, and a table."""

from __future__ import annotations

from dataclasses import dataclass

from atlas.units import Figure, UnitSystem, printed

__all__ = ["FIGURES", "Row", "Section", "both", "figure", "number"]

Row = tuple[str, ...]
FIGURES: Row = ("figure", "computed", "as printed")
"""Columns of a table of single figures."""


@dataclass(frozen=True, slots=True)
class Section:
    """One step.

    Attributes
    ----------
    notes : sentences and equations under the title
    head : names of the columns; empty where there is no table
    rows : each as long as `head`
    """

    title: str
    notes: tuple[str, ...] = ()
    head: Row = ()
    rows: tuple[Row, ...] = ()


def number(value: float | None, decimals: int, unit: str = "") -> str:
    """A number with so many decimals and its unit; a dash where it is unknown."""
    if value is None:
        return "-"
    rounded = round(value, decimals) + 0.0  # no minus before a nought
    return f"{rounded:.{decimals}f} {unit}".rstrip()


def both(kind: Figure, value: float | None, system: UnitSystem) -> str:
    """A figure as it is printed on paper, rounded to its safe side, in both systems."""
    return "-" if value is None else printed(kind, value, system).both


def figure(name: str, kind: Figure, value: float | None, decimals: int, unit: str, system: UnitSystem) -> Row:
    """A row of `FIGURES`: the number in SI, and how paper rounds it."""
    return name, number(value, decimals, unit), both(kind, value, system)
