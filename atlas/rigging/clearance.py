"""What hangs lowest over the water: the carriage with its hardware, the track line, or a ferry line.

Every line is taken between its end on the bank and its end at the carriage as a catenary of its horizontal
tension H and weight w a metre. With c = H / w, run X and rise Z toward the carriage (Irvine, Cable
Structures, 1981, 1.2) its lowest place is

    x0 = X / 2 - c asinh(Z / (2 c sinh(X / (2 c))))

from the bank, and at x it hangs c (cosh((x - x0) / c) - cosh((X - x0) / c)) over its end at the carriage.
Only what is over water counts: from where the line passes the water's edge to the carriage; the edge runs
with the flow through where the track line passes it.

A ferry line is held by hand: its crew lets it down to the clearance that is to be kept, and no lower. So it
counts where they cannot keep it there, because an end stands less than `END_ROOM_M` over that height or
because it asks for more than `LEAST_MOST_N`, and hangs lower for it.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum

import numpy as np

from atlas.rigging.asked import Index
from atlas.rigging.carriages import Carriages
from atlas.rigging.carried import CarriedRow
from atlas.rigging.pulls import END_ROOM_M, LEAST_MOST_N
from atlas.rigging.setups import Of
from atlas.rigging.shown import FloatArray

__all__ = [
    "Part",
    "Stretch",
    "ferry_sag",
    "heights_m",
    "line_clearance",
    "lowest_over_m",
    "spare_m",
    "stretches",
]

_DIP_SHARE = 0.9
"""Of the hardware's depth under the line: a line that might come so low is looked at exactly."""


class Part(IntEnum):
    """What may hang lowest."""

    HARDWARE = 0
    TRACK_LINE = 1
    FERRY_NEAR = 2
    FERRY_FAR = 3


@dataclass(frozen=True, slots=True, eq=False)
class Stretch:
    """A line from its end on the bank to its end at the carriage; arrays of one shape.

    Attributes
    ----------
    run_m, rise_m : level from end to end, and up toward the carriage
    tension_n : along the chord
    weight_n_m : of a metre as it hangs
    dry_share : of the run, from the bank to the water's edge
    """

    run_m: FloatArray
    rise_m: FloatArray
    tension_n: FloatArray
    weight_n_m: FloatArray
    dry_share: FloatArray


def lowest_over_m(line: Stretch) -> FloatArray:
    """Lowest point over water, over the line's end at the carriage [m]: never over nothing."""
    run, rise = line.run_m, line.rise_m
    twice_c = 2.0 * line.tension_n * run / (np.sqrt(run * run + rise * rise) * line.weight_n_m)
    # from halfway back to the lowest place, and from there to what is asked of, over the carriage's end
    back = 0.5 * twice_c * np.arcsinh(rise / (twice_c * np.sinh(run / twice_c)))
    at = np.minimum(np.maximum(0.5 * run - back, line.dry_share * run), run)
    lowest: FloatArray = twice_c * np.sinh((at + 2.0 * back) / twice_c) * np.sinh((at - run) / twice_c)
    return lowest


def _dry_share(end: FloatArray, carriage: FloatArray) -> FloatArray:
    """Share of the way that is over the bank; `end` and `carriage` are past the water's edge by so much."""
    share: FloatArray = np.clip(-end / np.maximum(carriage - end, 1e-9), 0.0, 1.0)
    return share


def _lines(state: Carriages, which: Index, *, ferry: bool) -> tuple[Stretch, Stretch]:
    """The near and the far line of some questions: parts of the track line, or ferry lines."""
    asked, rows = state.asked, state.rows
    of = state.table[:, asked.site[which], np.newaxis]
    x, y = state.at_m[which], rows[CarriedRow.BOW, which]
    slant = of[Of.FLOW_ALONG] / of[Of.FLOW_DOWN]
    tie = of[Of.NEAR_TIE] + asked.raised_m[which, np.newaxis]
    height = tie - rows[CarriedRow.DROP, which]
    lines = []
    for line, sign, edge in ((0, 1.0, asked.near_edge_m), (1, -1.0, asked.far_edge_m)):
        edge_m = edge[which, np.newaxis]
        if ferry:
            x_m, y_m, z_m = (of[station + line] for station in (Of.STATION_X, Of.STATION_Y, Of.STATION_Z))
            # the line ends at the ring
            end = x_m, y_m, z_m + of[Of.RING_BELOW]
            tension, weight = rows[CarriedRow.HELD_NEAR + line, which], 2.0 * of[Of.HALF_FERRY_WEIGHT]
        else:
            end = line * of[Of.SPAN], np.zeros_like(edge_m), tie + line * of[Of.RISE]
            tension = rows[CarriedRow.TENSION, which]
            weight = of[Of.WEIGHT] / (1.0 + tension / asked.stiffness_n[which, np.newaxis])
        run = np.sqrt((end[0] - x) ** 2 + (end[1] - y) ** 2)
        dry = _dry_share(sign * (end[0] - edge_m - slant * end[1]), sign * (x - edge_m - slant * y))
        lines.append(Stretch(run, height - end[2], tension, weight, dry))
    return lines[0], lines[1]


def stretches(state: Carriages, part: Part) -> tuple[Stretch, ...]:
    """The lines that a part is of, none where it is the hardware."""
    every = np.arange(state.asked.count)
    if part is Part.HARDWARE:
        return ()
    if part is Part.TRACK_LINE:
        return _lines(state, every, ferry=False)
    return (_lines(state, every, ferry=True)[part - Part.FERRY_NEAR],)


def _kept_m(line: Stretch, ring_m: FloatArray, floor_m: FloatArray) -> FloatArray:
    """By how much a ferry line's crew can keep it over its floor; under nothing they cannot.

    The lesser of the rooms left under both ends, and, a metre for a newton in each, of the tension left.
    """
    ring_room, end_room = ring_m - floor_m, ring_m - line.rise_m - floor_m
    room = np.sqrt(np.maximum(ring_room, END_ROOM_M)) + np.sqrt(np.maximum(end_room, END_ROOM_M))
    length2 = line.run_m * line.run_m + line.rise_m * line.rise_m
    least_n = 0.5 * line.weight_n_m * length2 / (room * room)
    kept: FloatArray = np.minimum(np.minimum(ring_room, end_room) - END_ROOM_M, 1.0 - least_n / LEAST_MOST_N)
    return kept


def _ferries(state: Carriages) -> tuple[FloatArray, FloatArray]:
    """Lowest of each ferry line over water, and its spare; shape (2, questions, places) [m].

    The spare is what it hangs over the clearance needed, or could be kept over it, the more of both: under
    nothing where it hangs lower and cannot be kept. Both are infinite with drag alone.
    """
    ring = state.clearance_m
    lowest, spare = np.full((2, 2, *ring.shape), np.inf)
    whole = np.flatnonzero(state.asked.whole)
    if whole.size:
        ring, floor = ring[whole], state.asked.clearance_m[whole][:, np.newaxis]
        for number, line in enumerate(_lines(state, whole, ferry=True)):
            lowest[number, whole] = low = ring + lowest_over_m(line)
            spare[number, whole] = np.maximum(low - floor, _kept_m(line, ring, floor))
    return lowest, spare


def _may_dip(state: Carriages) -> Index:
    """Questions whose track line might hang lower than the hardware.

    Under its end at the carriage a line hangs by no more than the sag of a level one and what its other end
    is lower, and by a little for a catenary's being no parabola.
    """
    height, span = state.height_m, state.of_site(Of.SPAN)[:, 0]
    sag = state.of_site(Of.WEIGHT)[:, 0] * span * span / (8.0 * state.tension_n.min(axis=1))
    lower = np.maximum(height - np.minimum(state.of_site(Of.RISE), 0.0), 0.0).max(axis=1)
    return np.flatnonzero(sag + lower > _DIP_SHARE * state.of_site(Of.RING_BELOW)[:, 0])


def _carriage_and_track(state: Carriages) -> tuple[FloatArray, FloatArray]:
    """Hardware, and lowest of the track line where that may be lower: else the carriage on it [m]."""
    hardware = state.clearance_m
    track = hardware + state.of_site(Of.RING_BELOW)
    which = _may_dip(state)
    if which.size:
        near, far = _lines(state, which, ferry=False)
        track[which] += np.minimum(lowest_over_m(near), lowest_over_m(far))
    return hardware, track


def spare_m(state: Carriages) -> FloatArray:
    """What is left over the clearance needed, of the part that has least [m]."""
    needed = state.asked.clearance_m[:, np.newaxis]
    least: FloatArray = np.minimum(*_carriage_and_track(state)) - needed
    if state.asked.whole.any():
        spare = _ferries(state)[1]
        least = np.minimum(least, np.minimum(spare[0], spare[1]))
    return least


def heights_m(state: Carriages) -> FloatArray:
    """Over the water, of every `Part` that counts: shape (parts, questions, places), else infinite [m]."""
    lowest, spare = _ferries(state)
    return np.stack([*_carriage_and_track(state), *np.where(spare < 0.0, lowest, np.inf)])


def line_clearance(state: Carriages) -> FloatArray:
    """Lower of carriage and track line over the water, its sign turned [m]: worst when greatest."""
    lower: FloatArray = np.minimum(*_carriage_and_track(state))
    return -lower


def ferry_sag(state: Carriages) -> FloatArray:
    """Lesser spare of the ferry lines, its sign turned [m]: worst when greatest."""
    spare = _ferries(state)[1]
    least: FloatArray = np.minimum(spare[0], spare[1])
    return -least
