"""One piece of an elastic heavy rope that hangs freely from one end: Irvine's equations, closed form.

Followed from the end where its tension is known, the piece is given by the tension `t` there, the
upward part `v` of that tension along the rope, and its unstretched length `s`; weight `w` a metre of
unstretched rope, compliance `e` = 1 / EA. With t' and v' = v + w s at the other end:

    t'   = sqrt(t^2 + w s (2 v + w s))
    rise = (t' - t) / w + e s (v + w s / 2)
    run  = H m,  H = sqrt(t^2 - v^2),  m = ln((v' + t') / (v + t)) / w + e s

H. M. Irvine, Cable Structures (1981), the elastic catenary in terms of the unstretched coordinate. Both
differences are written without cancellation, so a taut rope loses no digits:

    (t' - t) / w = s (v + v') / (t + t') = c
    ln((v' + t') / (v + t)) = log1p(w g),  g = (s + c) / (v + t)

Works on arrays of any shapes that broadcast; asks nothing of its input.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from atlas.rigging.shown import FloatArray

__all__ = ["Piece", "PieceSlopes", "piece", "piece_rise", "piece_slopes"]


@dataclass(frozen=True, slots=True)
class Piece:
    """Where a piece of rope ends, and how it pulls there.

    Attributes
    ----------
    end_tension : t' [N]
    end_lift : v' [N]
    unstretched_rise : c, the rise without the stretch [m]
    rise_share : g, length and rise over tension and lift where it begins [m/N]
    run_a_newton : m, the run of the piece for each newton of its horizontal tension [m/N]
    """

    end_tension: FloatArray
    end_lift: FloatArray
    unstretched_rise: FloatArray
    rise_share: FloatArray
    run_a_newton: FloatArray


@dataclass(frozen=True, slots=True)
class PieceSlopes:
    """Derivatives of a piece, as `balance` wants them; the two with tension carry a minus.

    Attributes
    ----------
    rise_less_with_tension : -d rise / d t [m/N]
    run_less_with_tension : -d m / d t [m/N2]
    run_with_lift : d m / d v [m/N2]
    run_with_length : d m / d s [1/N]; d rise / d s is v' times it, d rise / d v is s times it
    """

    rise_less_with_tension: FloatArray
    run_less_with_tension: FloatArray
    run_with_lift: FloatArray
    run_with_length: FloatArray


def piece(
    *, tension: FloatArray, lift: FloatArray, length: FloatArray, weight: FloatArray, compliance: FloatArray
) -> Piece:
    """Follow a piece of rope from the end where its tension is known (equations at the module's head).

    Parameters
    ----------
    tension, lift : t and v at that end [N]
    length : unstretched [m]
    weight : of a metre [N/m], over zero
    compliance : 1 / EA [1/N]
    """
    heavy = weight * length
    end_lift = heavy + lift
    lifts = end_lift + lift
    end_tension = np.sqrt(tension * tension + heavy * lifts)
    rise = length * lifts / (end_tension + tension)
    share = (length + rise) / (lift + tension)
    run = np.log1p(weight * share) / weight + length * compliance
    return Piece(end_tension, end_lift, rise, share, run)


def piece_rise(ends: Piece, *, lift: FloatArray, length: FloatArray, compliance: FloatArray) -> FloatArray:
    """Rise of a piece with its stretch [m]."""
    stretch: FloatArray = 0.5 * compliance * length * (lift + ends.end_lift)
    return ends.unstretched_rise + stretch


def piece_slopes(ends: Piece, *, length: FloatArray, compliance: FloatArray) -> PieceSlopes:
    """Derivatives of `piece` and `piece_rise` with tension, lift and length."""
    inverse = 1.0 / ends.end_tension
    both = 1.0 / (ends.end_lift + ends.end_tension)
    less_rise = ends.unstretched_rise * inverse
    return PieceSlopes(
        rise_less_with_tension=less_rise,
        run_less_with_tension=(less_rise + ends.rise_share) * both,
        run_with_lift=(length * inverse - ends.rise_share) * both,
        run_with_length=inverse + compliance,
    )
