"""A second, independent solver of the track line, one state at a time, for tests only.

It shares nothing with the package: other unknowns, other equations, other numerics. Each part of the
rope is Irvine's elastic catenary seen from its TIE POINT (the package looks from the carriage), with
inverse hyperbolic sines; seven unknowns (horizontal and vertical force at both tie points, y, z, the
near part's length) are found at once by MINPACK through scipy.optimize.root.

H. M. Irvine, Cable Structures (1981), elastic catenary, in the unstretched coordinate s from a tie point
at which the rope has horizontal tension h and upward reaction v:

    run(s)  = h s / EA + h / w (asinh(v / h) - asinh((v - w s) / h))
    drop(s) = s / EA (v - w s / 2) + h / w (sqrt(1 + (v / h)^2) - sqrt(1 + ((v - w s) / h)^2))
"""

from dataclasses import dataclass
from math import asinh, hypot, sqrt

import numpy as np
from scipy.optimize import root


class OracleFailed(Exception):
    """No root found; a test that meets it has no expectation, and says so."""


@dataclass(frozen=True)
class Rig:
    span: float
    rise: float
    weight: float
    stiffness: float


@dataclass(frozen=True)
class Answer:
    tension: float
    bow: float
    height: float
    along: float
    near_length: float


def run_and_drop(rig, h, v, s):
    v_end = v - rig.weight * s
    run = h * s / rig.stiffness + h / rig.weight * (asinh(v / h) - asinh(v_end / h))
    stretched = s / rig.stiffness * (v - 0.5 * rig.weight * s)
    drop = stretched + h / rig.weight * (sqrt(1 + (v / h) ** 2) - sqrt(1 + (v_end / h) ** 2))
    return run, drop


def empty_length(rig, pretension):
    """Unstretched length and near reaction of the line without carriage, from its horizontal tension."""
    chord = hypot(rig.span, rig.rise)

    def gaps(unknown):
        run, drop = run_and_drop(rig, pretension, unknown[1] * pretension, unknown[0] * chord)
        return [(run - rig.span) / chord, (drop + rig.rise) / chord]

    start = [
        1 / (1 + pretension / rig.stiffness),
        rig.weight * chord / (2 * pretension) - rig.rise / rig.span,
    ]
    found = root(gaps, start, tol=1e-15)
    if max(abs(gap) for gap in gaps(found.x)) > 1e-12:
        raise OracleFailed(found.message)
    return found.x[0] * chord


def _gaps(rig, length, at, downstream, down, scale):
    force, size = scale

    def gaps(unknown):
        h1, v1, h2, v2 = (value * force for value in unknown[:4])
        y, z, s1 = (value * size for value in unknown[4:])
        if min(h1, h2) <= 0:
            return [1e3] * 7
        s2 = length - s1
        run1, drop1 = run_and_drop(rig, h1, v1, s1)
        run2, drop2 = run_and_drop(rig, h2, v2, s2)
        plan1, plan2 = hypot(at, y), hypot(rig.span - at, y)
        lift1, lift2 = v1 - rig.weight * s1, v2 - rig.weight * s2
        return [
            (run1 - plan1) / size,
            (run2 - plan2) / size,
            (drop1 + z) / size,
            (drop2 - rig.rise + z) / size,
            (hypot(h1, lift1) - hypot(h2, lift2)) / force,
            (h1 * y / plan1 + h2 * y / plan2 - downstream) / force,
            (lift1 + lift2 - down) / force,
        ]

    return gaps


def _weightless_start(rig, length, at, downstream, down):
    """Straight parts, half of the weight at the carriage, the draw off the chord by plain bisection."""
    lumped = down + 0.5 * rig.weight * length
    load = hypot(downstream, lumped)
    low, high = 0.0, 5.0 * length
    chord_height = rig.rise * at / rig.span

    def parts(draw):
        y, z = draw * downstream / load, chord_height - draw * lumped / load
        return y, z, hypot(at, y, z), hypot(rig.span - at, y, rig.rise - z)

    for _ in range(60):
        draw = 0.5 * (low + high)
        _, _, c1, c2 = parts(draw)
        stretch = rig.stiffness * ((c1 + c2) / length - 1)
        if max(stretch, 0.0) * draw * (1 / c1 + 1 / c2) < load:
            low = draw
        else:
            high = draw
    y, z, c1, c2 = parts(draw)
    tension = load / (draw * (1 / c1 + 1 / c2))
    s1 = length * c1 / (c1 + c2)
    h1, h2 = tension * hypot(at, y) / c1, tension * hypot(rig.span - at, y) / c2
    v1 = -tension * z / c1 + 0.5 * rig.weight * s1
    v2 = tension * (rig.rise - z) / c2 + 0.5 * rig.weight * (length - s1)
    return tension, [h1, v1, h2, v2, y, z, s1]


def loaded(rig, *, length, at, downstream, down):
    """The loaded line; raises OracleFailed rather than hand back what does not close to 1e-11."""
    force, start = _weightless_start(rig, length, at, downstream, down)
    gaps = _gaps(rig, length, at, downstream, down, (force, rig.span))
    scaled = np.array([value / force for value in start[:4]] + [value / rig.span for value in start[4:]])
    for method, options in (("hybr", {"xtol": 1e-14}), ("lm", {"xtol": 1e-15, "ftol": 1e-15})):
        found = root(gaps, scaled, method=method, options=options)
        if max(abs(gap) for gap in gaps(found.x)) < 1e-11:
            break
    else:
        raise OracleFailed(found.message)
    h1, v1, h2, _ = (float(value) * force for value in found.x[:4])
    y, z, s1 = (float(value) * rig.span for value in found.x[4:])
    across1, across2 = h1 * at / hypot(at, y), h2 * (rig.span - at) / hypot(rig.span - at, y)
    return Answer(
        tension=hypot(h1, v1 - rig.weight * s1),
        bow=y,
        height=z,
        along=across1 - across2,
        near_length=s1,
    )
