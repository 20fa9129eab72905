"""Needed length of each line: named parts, spare, floor. Rules: common practice, no source, unless said."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot, pi

__all__ = [
    "LengthPart",
    "LineLength",
    "ferry_line",
    "launch_line",
    "messenger_line",
    "track_line",
    "up_down_line",
    "with_spare",
]


@dataclass(frozen=True, slots=True)
class LengthPart:
    """A named part of a needed length [m]."""

    part: str
    length_m: float


@dataclass(frozen=True, slots=True)
class LineLength:
    """What a line must measure [m], its parts (spare among them) and the floor it may not go under."""

    needed_m: float
    floor_m: float | None
    parts: tuple[LengthPart, ...]


def with_spare(
    parts: list[LengthPart], *, floor_m: float | None, spare_fraction: float, spare_least_m: float
) -> LineLength:
    """Add the spare, then raise to the floor; what the floor adds is a part of its own."""
    planned_m = sum(part.length_m for part in parts)
    parts = [*parts, LengthPart("spare", max(spare_fraction * planned_m, spare_least_m))]
    total_m = sum(part.length_m for part in parts)
    if floor_m is not None and total_m < floor_m:
        parts.append(LengthPart("floor", floor_m - total_m))
        total_m = floor_m
    return LineLength(needed_m=total_m, floor_m=floor_m, parts=tuple(parts))


def track_line(
    *,
    chord_m: float,
    wraps: float,
    far_anchor_diameter_m: float,
    rope_diameter_m: float,
    far_tail_m: float,
    haul_advantage: int,
    throw_m: float,
    near_tail_m: float,
    spare_fraction: float,
    spare_least_m: float,
) -> LineLength:
    """Chord, wraps round the far anchor, far tail, the haul built in the line, near tail.

    A haul of advantage n built in the line takes n times its throw of it. The floor is the chord.
    """
    parts = [
        LengthPart("chord", chord_m),
        LengthPart("wraps", wraps * pi * (far_anchor_diameter_m + rope_diameter_m)),
        LengthPart("far_tail", far_tail_m),
        LengthPart("haul", haul_advantage * throw_m),
        LengthPart("near_tail", near_tail_m),
    ]
    return with_spare(parts, floor_m=chord_m, spare_fraction=spare_fraction, spare_least_m=spare_least_m)


def ferry_line(
    *,
    station_to_carriage_m: float,
    tail_m: float,
    width_m: float,
    spare_fraction: float,
    spare_least_m: float,
) -> LineLength:
    """Greatest distance from the upriver station to the loaded carriage, and a tended tail.

    The floor is the width: each ferry line at least the width (common practice, no source).
    """
    parts = [LengthPart("station_to_carriage", station_to_carriage_m), LengthPart("tail", tail_m)]
    return with_spare(parts, floor_m=width_m, spare_fraction=spare_fraction, spare_least_m=spare_least_m)


def up_down_line(
    *,
    station_to_carriage_m: float,
    bow_strands: int,
    reach_m: float,
    ring_over_bow_m: float,
    tail_m: float,
    width_m: float,
    spare_fraction: float,
    spare_least_m: float,
) -> LineLength:
    """Station to carriage, then `bow_strands` strands to the boat at its farthest, and a tended tail.

    `reach_m` is along the flow, reach-down / cos(skew). The floor is the greater of n x width and
    width + n x reach: a 100 ft river with 2:1 at the bow needs 200 ft (common practice, no source).
    """
    strand_m = hypot(reach_m, ring_over_bow_m)
    parts = [
        LengthPart("station_to_carriage", station_to_carriage_m),
        LengthPart("strands", bow_strands * strand_m),
        LengthPart("tail", tail_m),
    ]
    floor_m = max(bow_strands * width_m, width_m + bow_strands * reach_m)
    return with_spare(parts, floor_m=floor_m, spare_fraction=spare_fraction, spare_least_m=spare_least_m)


def messenger_line(
    *, span_m: float, tail_m: float, spare_fraction: float, spare_least_m: float
) -> LineLength:
    """Over, and its bight back; a tail on each bank. The floor is twice the span."""
    parts = [LengthPart("over_and_back", 2.0 * span_m), LengthPart("bank_tails", 2.0 * tail_m)]
    return with_spare(parts, floor_m=2.0 * span_m, spare_fraction=spare_fraction, spare_least_m=spare_least_m)


def launch_line(
    *, throw_m: float, arc: float, span_m: float, spare_fraction: float, spare_least_m: float
) -> LineLength:
    """Launch post to landing, along an arc `arc` times its base. The floor is the span.

    A parabola thrown at 45 degrees is 1.148 times as long as its base: (sqrt 2 + asinh 1) / 2.
    """
    parts = [LengthPart("arc", throw_m * arc)]
    return with_spare(parts, floor_m=span_m, spare_fraction=spare_fraction, spare_least_m=spare_least_m)
