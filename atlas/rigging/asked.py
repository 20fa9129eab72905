"""What is asked of the carriages of many sites at once: flat questions, each of one site."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace

import numpy as np
import numpy.typing as npt

from atlas.rigging.setups import Of
from atlas.rigging.shown import FloatArray
from atlas.rigging.states import unstretched_length_m

__all__ = ["ALL_WATER_M", "FREE", "Asked", "together"]

Index = npt.NDArray[np.intp]

FREE = np.nan
"""Strand length of a question in which the boat is at its farthest: the reach less the bow [m]."""
ALL_WATER_M = 1e6
"""A water's edge so far off leaves no bank under any line [m]."""


@dataclass(frozen=True, slots=True, eq=False)
class Asked:
    """Questions, flat arrays of one length.

    Attributes
    ----------
    site : column of the sites' table
    whole : the whole system of forces, else drag alone
    drag_n : of what hangs below, 0 is the empty carriage
    water_rise_m : over the survey day's water
    clearance_m : over the water, that the ferry lines keep
    set_n : horizontal tension as set, before seating
    stiffness_n : EA
    seating_m : rope lost at lock-off: 0 for tension, the whole for clearance and bow
    strand_m : horizontal length of the strands; `FREE` for the reach less the bow, at least the least
    raised_m : both ties over their surveyed height
    hauled : the up-down line is hauled, not only held
    near_edge_m, far_edge_m : water's edges along the track line
    """

    site: Index
    whole: npt.NDArray[np.bool_]
    drag_n: FloatArray
    water_rise_m: FloatArray
    clearance_m: FloatArray
    set_n: FloatArray
    stiffness_n: FloatArray
    seating_m: FloatArray
    strand_m: FloatArray
    raised_m: FloatArray
    hauled: npt.NDArray[np.bool_]
    near_edge_m: FloatArray
    far_edge_m: FloatArray

    @classmethod
    def of(
        cls,
        *,
        site: npt.ArrayLike,
        whole: npt.ArrayLike,
        drag_n: npt.ArrayLike,
        water_rise_m: npt.ArrayLike,
        clearance_m: npt.ArrayLike,
        set_n: npt.ArrayLike,
        stiffness_n: npt.ArrayLike,
        seating_m: npt.ArrayLike,
        strand_m: npt.ArrayLike = FREE,
        raised_m: npt.ArrayLike = 0.0,
        hauled: npt.ArrayLike = False,
    ) -> Asked:
        """Questions of all combinations the arguments broadcast to, in C order; all is over water."""
        given = np.broadcast_arrays(
            site, whole, drag_n, water_rise_m, clearance_m, set_n, stiffness_n, seating_m,
            strand_m, raised_m, hauled, -ALL_WATER_M, ALL_WATER_M,
        )  # fmt: skip
        kinds = (np.intp, np.bool_, *(np.float64,) * 8, np.bool_, np.float64, np.float64)
        return cls(*(item.astype(kind).ravel() for item, kind in zip(given, kinds, strict=True)))

    @property
    def count(self) -> int:
        """How many questions."""
        return self.site.size

    def between(self, near_edge_m: FloatArray, far_edge_m: FloatArray) -> Asked:
        """The same with water's edges, of as many alike as there are questions for each of them."""
        each = self.count // near_edge_m.size
        return replace(self, near_edge_m=np.repeat(near_edge_m, each), far_edge_m=np.repeat(far_edge_m, each))

    def part(self, which: Index | npt.NDArray[np.bool_]) -> Asked:
        """Some of the questions, or some again."""
        return Asked(*(getattr(self, item.name)[which] for item in fields(self)))

    def unstretched_m(self, table: FloatArray) -> FloatArray:
        """Length of each question's rope without tension, seating included [m]."""
        site = self.site
        return self.seating_m + unstretched_length_m(
            span_m=table[Of.SPAN, site],
            rise_m=table[Of.RISE, site],
            weight_n_m=table[Of.WEIGHT, site],
            stiffness_n=self.stiffness_n,
            pretension_n=self.set_n,
        )


def together(asked: Sequence[Asked]) -> Asked:
    """Several sets of questions as one."""
    return Asked(*(np.concatenate([getattr(one, item.name) for one in asked]) for item in fields(Asked)))
