"""Drawings and graphs as pieces of the flow, each on its own stretch of a page."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from atlas.faults import BlockOverrun
from atlas.paper import Box, LaidOut
from atlas.paper.flow import Piece, gap
from atlas.workings.paper.arrow_view import lay_forces
from atlas.workings.paper.derive import Derivation
from atlas.workings.paper.entry_pieces import heading
from atlas.workings.paper.forces import forces_of
from atlas.workings.paper.gauge_graphs import gauge_graphs
from atlas.workings.paper.graphs import graphs
from atlas.workings.paper.line_view import lay_line_plan
from atlas.workings.paper.plot import Plot, lay_plot
from atlas.workings.paper.style import Style

__all__ = ["force_pieces", "graph_pieces"]

_GRAPH_MM, _GAP_MM = 70.0, 5.0


def _plan_piece(style: Style, derivation: Derivation) -> Piece:
    """The track line in plan."""
    words, asked = style.words, derivation.tightest
    title = words("derivation.force.plan_title", case=words(f"case.{asked.case.case}"))
    setup = derivation.rigged.setup
    strand_m = max(setup.reach_m - float(asked.track.downstream_m), setup.strand_least_m)
    plan = derivation.rigged.plan
    return Piece(lambda box: lay_line_plan(style, plan, asked, box, title=title, strand_m=strand_m))


def _arrows_piece(style: Style, derivation: Derivation) -> Piece:
    """Forces in plan and in elevation, side by side."""
    words = style.words
    forces = forces_of(derivation.rigged, derivation.tightest)

    def lay(box: Box) -> LaidOut:
        half_mm = (box.width_mm - _GAP_MM) / 2
        left = replace(box, width_mm=half_mm)
        plan = lay_forces(
            style,
            forces,
            left,
            title=words("derivation.force.plan"),
            flat=lambda force: (force.along_n, -force.downstream_n),
        )
        elevation = lay_forces(
            style,
            forces,
            replace(left, left_mm=box.right_mm - half_mm),
            title=words("derivation.force.elevation"),
            flat=lambda force: (force.downstream_n, force.up_n),
        )
        height_mm = max(plan.height_mm, elevation.height_mm)
        return LaidOut(items=(*plan.items, *elevation.items), height_mm=height_mm)

    return Piece(lay)


def force_pieces(style: Style, derivation: Derivation, number: str) -> list[Piece]:
    """The state of greatest tension drawn: line in plan, forces in plan and in elevation."""
    title = style.words("derivation.force.title")
    return [
        heading(style, number, title),
        gap(2.0),
        _plan_piece(style, derivation),
        gap(_GAP_MM),
        _arrows_piece(style, derivation),
    ]


def _graph_piece(style: Style, plot: Plot) -> Piece:
    def lay(box: Box) -> LaidOut:
        items = lay_plot(style, plot, replace(box, height_mm=_GRAPH_MM))
        return LaidOut(items=items, height_mm=_GRAPH_MM + 3.0)

    return Piece(lay)


def _first_that_fits(style: Style, plots: Sequence[Plot]) -> Piece:
    """The first of several that finds room for all its names; the last has the fewest."""

    def lay(box: Box) -> LaidOut:
        for plot in plots[:-1]:
            try:
                return _graph_piece(style, plot).lay(box)
            except BlockOverrun:  # fewer names are tried: what is left out stands in the gauge's file
                continue
        return _graph_piece(style, plots[-1]).lay(box)

    return Piece(lay)


def graph_pieces(style: Style, derivation: Derivation, number: str) -> list[Piece]:
    """The three graphs, and speed and width against stage where there is a gauge."""
    return [
        heading(style, number, style.words("derivation.graph.title")),
        gap(2.0),
        *(_graph_piece(style, plot) for plot in graphs(derivation, style.words)),
        *(_first_that_fits(style, plots) for plots in gauge_graphs(derivation.rigged.plan, style.words)),
    ]
