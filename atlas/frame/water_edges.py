"""Where the water's edges lie on the track line: from the drawn edges, else from the width."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from atlas.frame.problems import FrameProblem
from atlas.frame.site_frame import Point
from atlas.records import Bank

__all__ = ["APART_MOST", "WaterEdges", "crossings", "find_water_edges", "share_apart"]

APART_MOST = 0.10
"""A drawn and a given value may differ by this share of the greater."""
TOUCH_M = 0.001
"""A tie point this little in front of its water's edge counts as standing on it [m]."""


@dataclass(frozen=True, slots=True)
class WaterEdges:
    """The water's edges along the track line on the survey day [m]."""

    near_x_m: float
    far_x_m: float
    edges_drawn: bool
    width_drawn: bool


def find_water_edges(
    edges: Sequence[tuple[Bank, Sequence[Point]]], *, width_m: float | None, span_m: float
) -> WaterEdges | tuple[FrameProblem, ...]:
    """Both water's edges along the track line, or why they cannot be known.

    Parameters
    ----------
    edges : bank and line as x, y [m]
    width_m : surveyed width [m], or None
    span_m : between the track tie points [m]

    Notes
    -----
    Drawn edges decide. Where an edge meets the track line several times between the tie points, the
    widest reading is taken: longer lines, smaller setbacks. With one edge drawn the width gives the
    other; with none, the setbacks are taken alike.
    """
    near_lines = [line for bank, line in edges if bank is Bank.NEAR]
    far_lines = [line for bank, line in edges if bank is Bank.FAR]
    near = _edge_x(near_lines, span_m=span_m, outermost=min, tie_x_m=0.0)
    far = _edge_x(far_lines, span_m=span_m, outermost=max, tie_x_m=span_m)
    missing = tuple(
        _does_not_cross(bank)
        for bank, lines, x_m in ((Bank.NEAR, near_lines, near), (Bank.FAR, far_lines, far))
        if lines and x_m is None
    )
    if missing:
        return missing
    if near is not None and far is not None:
        return _both_drawn(near, far, width_m=width_m, span_m=span_m)
    if width_m is None:
        return (_width_unknown(drawn=near is not None or far is not None),)
    if width_m > span_m:
        return (_width_exceeds(width_m, span_m=span_m),)
    return _from_width(near, far, width_m=width_m, span_m=span_m)


def crossings(line: Sequence[Point]) -> tuple[float, ...]:
    """All x [m] at which a line of x, y meets the track line (y = 0) or its extension."""
    points = np.asarray(line, dtype=np.float64)
    x, y = points[:, 0], points[:, 1]
    on_it = x[y == 0.0]
    through = y[:-1] * y[1:] < 0.0
    share = y[:-1][through] / (y[:-1][through] - y[1:][through])
    between = x[:-1][through] + share * (x[1:][through] - x[:-1][through])
    return tuple(float(value) for value in np.sort(np.concatenate((on_it, between))))


def share_apart(one: float, other: float) -> float:
    """How far two positive values are apart, as a share of the greater [1]."""
    return abs(one - other) / max(one, other)


def _edge_x(
    lines: Sequence[Sequence[Point]],
    *,
    span_m: float,
    outermost: Callable[[Iterable[float]], float],
    tie_x_m: float,
) -> float | None:
    """The edge's place on the track line: outermost between the tie points, else nearest to its own."""
    found = [x_m for line in lines for x_m in crossings(line)]
    between = [x_m for x_m in found if -TOUCH_M <= x_m <= span_m + TOUCH_M]
    if between:
        return outermost(between)
    return min(found, key=lambda x_m: abs(x_m - tie_x_m)) if found else None


def _both_drawn(
    near_x_m: float, far_x_m: float, *, width_m: float | None, span_m: float
) -> WaterEdges | tuple[FrameProblem, ...]:
    """Both edges drawn: in order, between the tie points, and not against the given width."""
    drawn_m = far_x_m - near_x_m
    if max(near_x_m, far_x_m) < -TOUCH_M or min(near_x_m, far_x_m) > span_m + TOUCH_M:
        return (_on_one_bank(near_x_m, far_x_m=far_x_m, span_m=span_m),)
    if drawn_m <= 0.0:
        return (_swapped(near_x_m, far_x_m=far_x_m),)
    problems = _ties_behind(near_x_m, far_x_m=far_x_m, span_m=span_m)
    if width_m is not None and share_apart(width_m, drawn_m) > APART_MOST:
        problems += (_width_disagrees(width_m, drawn_m=drawn_m),)
    return problems or WaterEdges(
        max(near_x_m, 0.0), min(far_x_m, span_m), edges_drawn=True, width_drawn=True
    )


def _from_width(
    near_x_m: float | None, far_x_m: float | None, *, width_m: float, span_m: float
) -> WaterEdges | tuple[FrameProblem, ...]:
    """The width from the one drawn edge, or set in the middle of the span."""
    drawn = near_x_m is not None or far_x_m is not None
    if near_x_m is None:
        near_x_m = far_x_m - width_m if far_x_m is not None else (span_m - width_m) / 2.0
    if far_x_m is None:
        far_x_m = near_x_m + width_m
    problems = _ties_behind(near_x_m, far_x_m=far_x_m, span_m=span_m)
    return problems or WaterEdges(
        max(near_x_m, 0.0), min(far_x_m, span_m), edges_drawn=drawn, width_drawn=False
    )


def _ties_behind(near_x_m: float, *, far_x_m: float, span_m: float) -> tuple[FrameProblem, ...]:
    """Each track tie point stands behind its own water's edge."""
    problems: tuple[FrameProblem, ...] = ()
    if near_x_m < -TOUCH_M:
        problems += (_not_behind(Bank.NEAR, -near_x_m),)
    if far_x_m > span_m + TOUCH_M:
        problems += (_not_behind(Bank.FAR, far_x_m - span_m),)
    return problems


def _does_not_cross(bank: Bank) -> FrameProblem:
    return FrameProblem(
        code="edge_does_not_cross",
        field="geometry",
        got=f"{bank.value} edge that does not reach the track line",
        allowed="a line along the water that begins above the track line and ends below it",
        todo="draw the edge on past the line between the two track anchors",
        what=f"the {bank.value} water's edge does not meet the track line",
        role="edge",
    )


def _swapped(near_x_m: float, *, far_x_m: float) -> FrameProblem:
    return FrameProblem(
        code="edges_swapped",
        field="bank",
        got=f"near edge {near_x_m:.1f} m and far edge {far_x_m:.1f} m from the near track anchor",
        allowed="the near edge first",
        todo="exchange the bank of the two edges, or of the anchors",
        what="the far water's edge lies nearer than the near one",
        role="edge",
    )


def _on_one_bank(near_x_m: float, *, far_x_m: float, span_m: float) -> FrameProblem:
    """Neither edge lies between the anchors: both stand on the bank of the edge that is closer to them."""
    near_away_m, far_away_m = (max(-x_m, x_m - span_m) for x_m in (near_x_m, far_x_m))
    bank = Bank.NEAR if near_away_m < far_away_m else Bank.FAR
    return FrameProblem(
        code="anchors_on_one_bank",
        field="geometry",
        got=f"near and far track anchor on the {bank.value} side of both drawn edges",
        allowed="the river between the two track anchors",
        todo="correct the place of the anchor that is wrong, or the edges",
        what="both track anchors stand on one bank",
        role="anchor",
    )


def _not_behind(bank: Bank, short_m: float) -> FrameProblem:
    return FrameProblem(
        code="tie_point_not_behind_edge",
        field="geometry",
        got=f"{bank.value} track anchor {short_m:.1f} m in front of the {bank.value} water's edge",
        allowed="each track anchor on its own bank, behind the water's edge of the survey day",
        todo="correct the anchor's place, the edge, or the width",
        what=f"the {bank.value} track anchor does not stand on the {bank.value} bank",
        role="anchor",
    )


def _width_disagrees(width_m: float, *, drawn_m: float) -> FrameProblem:
    return FrameProblem(
        code="width_disagrees",
        field="width",
        got=f"{width_m:.1f} m given, {drawn_m:.1f} m between the drawn edges",
        allowed=f"at most {APART_MOST:.0%} apart",
        todo="correct the width or the edges",
        what="the given width and the drawn edges disagree",
    )


def _width_unknown(*, drawn: bool) -> FrameProblem:
    return FrameProblem(
        code="width_unknown",
        field="width",
        got="one edge and no width" if drawn else "neither edges nor width",
        allowed="both water's edges drawn, or a width",
        todo="draw the water's edges of both banks, or give the width along the track line",
        what="the width of the water along the track line cannot be told",
    )


def _width_exceeds(width_m: float, *, span_m: float) -> FrameProblem:
    return FrameProblem(
        code="width_exceeds_span",
        field="width",
        got=f"{width_m:.1f} m",
        allowed=f"at most the span, {span_m:.1f} m between the track anchors",
        todo="correct the width, or choose track anchors on the banks",
        what="the water is wider than the track line is long",
    )
