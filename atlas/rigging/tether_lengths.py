"""Needed lengths of a tether's lines over the whole work area and the whole range of stages."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from atlas.rigging.ferry import StationPoint
from atlas.rigging.lines import LengthPart, messenger_line, with_spare
from atlas.rigging.tether_geometry import TetherGeometry, farthest_m, tether_geometry
from atlas.rigging.tether_records import BOW_LINES, STERN_LINES, TetherLine, TetherRules, TetherSite

__all__ = ["measured_lines", "tether_lines"]


def tether_lines(site: TetherSite, rules: TetherRules, *, rises_m: Sequence[float]) -> tuple[TetherLine, ...]:
    """Needed length of bow lines, stern lines and messenger.

    Parameters
    ----------
    rises_m : water over the survey day's at every stage planned for [m]; the worst of them counts

    Notes
    -----
    A bow or stern line: greatest distance from its station to its ring over the whole work area, a tended
    tail, spare; of a bow line not under the width, since the far one is made fast with the boat at the near
    bank. The messenger goes over between the two bow stations, and its bight comes back.
    """
    geometry = tether_geometry(site.near, site.far, site.work_area, skew_deg=site.skew_deg)
    return measured_lines(site, rules, geometry, rises_m=rises_m)


def measured_lines(
    site: TetherSite, rules: TetherRules, geometry: TetherGeometry, *, rises_m: Sequence[float]
) -> tuple[TetherLine, ...]:
    """`tether_lines` over a work area that was turned into the flow already."""
    spare = {"spare_fraction": rules.spare_fraction, "spare_least_m": rules.spare_least_m}
    stern = () if site.stern is None else zip(STERN_LINES, site.stern, strict=True)
    ends: list[tuple[str, StationPoint, float, float | None]] = [
        (line, station, 0.0, site.width_m)
        for line, station in zip(BOW_LINES, (site.near, site.far), strict=True)
    ]
    ends += [(line, station, rules.boat_length_m, None) for line, station in stern]
    rings_m = np.asarray(rises_m) + rules.bow_ring_m
    lines = []
    for line, station, astern_m, floor_m in ends:
        distance_m = farthest_m(station, geometry, ring_z_m=rings_m, astern_m=astern_m)
        parts = [LengthPart("station_to_boat", distance_m), LengthPart("tail", rules.tail_m)]
        lines.append(TetherLine(line, with_spare(parts, floor_m=floor_m, **spare)))
    over_m = float(np.hypot(*(geometry.far - geometry.near)))
    lines.append(
        TetherLine("messenger", messenger_line(span_m=over_m, tail_m=rules.messenger_tail_m, **spare))
    )
    return tuple(lines)
