"""Drawings and graphs as pieces of the flow, each on its own stretch of a page."""

from __future__ import annotations

from dataclasses import replace

from atlas.paper import Box, Item, LaidOut
from atlas.paper.flow import Piece, gap
from atlas.workings.paper.derive import Derivation
from atlas.workings.paper.entry_pieces import heading
from atlas.workings.paper.force_drawing import lay_forces, lay_line_plan
from atlas.workings.paper.forces import forces_of
from atlas.workings.paper.graphs import graphs
from atlas.workings.paper.plot import Plot, lay_plot
from atlas.workings.paper.state_chapters import StateAsked
from atlas.workings.paper.style import Style

__all__ = ["force_pieces", "graph_pieces"]

_PLAN_MM, _FORCES_MM, _GRAPH_MM, _GAP_MM = 72.0, 72.0, 70.0, 5.0


def _drawings(style: Style, derivation: Derivation, asked: StateAsked, box: Box) -> tuple[Item, ...]:
    words = style.words
    case = words(f"case.{asked.case.case}")
    forces = forces_of(derivation.rigged, asked)
    half_mm = (box.width_mm - _GAP_MM) / 2
    top = replace(box, height_mm=_PLAN_MM)
    left = Box(left_mm=box.left_mm, top_mm=top.bottom_mm + _GAP_MM, width_mm=half_mm, height_mm=_FORCES_MM)
    right = replace(left, left_mm=box.right_mm - half_mm)
    title = words("derivation.force.plan_title", case=case)
    return (
        *lay_line_plan(style, derivation.rigged.plan, asked, top, title=title),
        *lay_forces(
            style, forces, left, title=words("derivation.force.plan"),
            flat=lambda force: (force.along_n, -force.downstream_n),
        ),
        *lay_forces(
            style, forces, right, title=words("derivation.force.elevation"),
            flat=lambda force: (force.downstream_n, force.up_n),
        ),
    )  # fmt: skip


def force_pieces(style: Style, derivation: Derivation, number: str) -> list[Piece]:
    """The state of greatest tension drawn: line in plan, forces in plan and in elevation."""
    height_mm = _PLAN_MM + _GAP_MM + _FORCES_MM

    def lay(box: Box) -> LaidOut:
        items = _drawings(style, derivation, derivation.tightest, box)
        return LaidOut(items=items, height_mm=height_mm)

    title = style.words("derivation.force.title")
    return [heading(style, number, title), gap(2.0), Piece(lay)]


def _graph_piece(style: Style, plot: Plot) -> Piece:
    def lay(box: Box) -> LaidOut:
        return LaidOut(
            items=lay_plot(style, plot, replace(box, height_mm=_GRAPH_MM)), height_mm=_GRAPH_MM + 3.0
        )

    return Piece(lay)


def graph_pieces(style: Style, derivation: Derivation, number: str) -> list[Piece]:
    """The three graphs."""
    title = style.words("derivation.graph.title")
    return [
        heading(style, number, title),
        gap(2.0),
        *(_graph_piece(style, plot) for plot in graphs(derivation, style.words)),
    ]
