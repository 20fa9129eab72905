"""Where the water ends and where the carriage works between, at any width of the river."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from atlas.rigging.asked import Index
from atlas.rigging.shown import AT_SHARE, FloatArray

__all__ = ["Shores"]


@dataclass(frozen=True, slots=True, eq=False)
class Shores:
    """Shores of sites along their track lines, each shape (sites,) [m].

    Attributes
    ----------
    near_edge_m, far_edge_m : water's edges of the survey day, from the near tie point
    width_m : of that day
    span_m : of the track line
    levered_from_m, levered_to_m : between which both ferry lines keep their leverage
    """

    near_edge_m: FloatArray
    far_edge_m: FloatArray
    width_m: FloatArray
    span_m: FloatArray
    levered_from_m: FloatArray
    levered_to_m: FloatArray

    def setbacks(self, site: Index, width_m: FloatArray) -> tuple[FloatArray, FloatArray]:
        """From each tie point to its water's edge; negative where the water is past it [m].

        What the width gains over the survey day's, each bank gives half of: the survey tells no more.
        """
        grown = (width_m - self.width_m[site]) / 2.0
        return self.near_edge_m[site] - grown, self.span_m[site] - self.far_edge_m[site] - grown

    def water(self, site: Index, width_m: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Water's edges [m], wherever they are."""
        near, far = self.setbacks(site, width_m)
        return near, self.span_m[site] - far

    def edges(self, site: Index, width_m: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Water's edges, as far as the carriage is computed along the line [m]."""
        near, far = self.water(site, width_m)
        span = self.span_m[site]
        return np.maximum(near, AT_SHARE.low * span), np.minimum(far, AT_SHARE.high * span)

    def travel(self, site: Index, width_m: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Where the carriage works: over the water, and where both ferry lines have leverage [m].

        Over the water alone where the two do not meet.
        """
        near, far = self.edges(site, width_m)
        from_m = np.maximum(near, self.levered_from_m[site])
        to_m = np.minimum(far, self.levered_to_m[site])
        meet = from_m < to_m
        return np.where(meet, from_m, near), np.where(meet, to_m, far)
