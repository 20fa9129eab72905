"""Flow notes brought to one measure: fastest surface speed, and rise over the water of the survey day."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import isfinite, log

from atlas.faults import OutOfRange
from atlas.records import Access, FlowNote, MeanKind
from atlas.water.speeds import (
    SECTION_RATIO,
    VERTICAL_RATIO,
    surface_from_section_mean_m_s,
    surface_from_vertical_mean_m_s,
)

__all__ = [
    "DEPTH_EXPONENT",
    "SAME_STAGE_M",
    "Ratio",
    "Seen",
    "StageSettings",
    "mean_over_surface",
    "seen_of",
    "surface_speed",
]

SAME_STAGE_M = 0.005
"""Stages this close are one: half of what a staff gauge shows [m]."""
DEPTH_EXPONENT = 0.40
"""Depth as a power of discharge at a station (Leopold and Maddock, USGS PP 252, 1953)."""
RATIO_LEAST = 0.40
"""A noted ratio of section mean to fastest thread below this is a slip of the pen rather than a river."""


@dataclass(frozen=True, slots=True)
class StageSettings:
    """What policy says of the rows of the level table.

    Attributes
    ----------
    vertical_ratio, section_ratio : mean of a vertical, of a section, over the fastest surface thread [1]
    margin : least surplus of a speed modelled from fewer than three stages [1]
    level : of the prediction interval whose upper end is the design speed [1]
    width_to_depth : width over depth where no depth was noted [1]
    rows_above : modelled rows above the planning stage
    row_step_m : between them [m]
    """

    vertical_ratio: float = VERTICAL_RATIO
    section_ratio: float = SECTION_RATIO
    margin: float = 0.40
    level: float = 0.90
    width_to_depth: float = 20.0
    rows_above: int = 2
    row_step_m: float = 0.3


@dataclass(frozen=True, slots=True)
class Seen:
    """The river as seen at one stage.

    Attributes
    ----------
    rise_m : over the water of the survey day; 0 where the stage is unknown [m]
    stage_m : None where unknown [m]
    width_m, depth_m, discharge_m3_s : None where not noted
    assumed : codes of what was assumed, see `atlas.water.stages`
    """

    rise_m: float
    stage_m: float | None
    surface_speed_m_s: float
    discharge_m3_s: float | None
    width_m: float | None
    depth_m: float | None
    assumed: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Ratio:
    """Mean over surface speed, and whether the site's own notes gave it."""

    value: float
    own: bool


def seen_of(
    access: Access, *, width_m: float, settings: StageSettings
) -> tuple[float | None, tuple[Seen, ...]]:
    """Stage of the survey day's water, and the notes by rising water, one a stage.

    Parameters
    ----------
    access : the site's access feature; only stage and flow_notes are read
    width_m : of the survey day, along the track line [m]
    settings : policy

    Returns
    -------
    datum : stage from which heights are counted [m], None if no stage is known
    seen : one for each noted stage; where several notes share it, the fastest

    Raises
    ------
    OutOfRange
        No flow note, a note without a speed, or a speed that is negative or not finite.

    Notes
    -----
    Without a stage of the survey day the lowest noted stage is taken for it: heights are then counted
    from low water, so that every noted rise is at its greatest.
    """
    if not access.flow_notes:
        raise OutOfRange("no flow note; needed: at least one with a speed")
    notes = [_with_stage(note, access.flow_notes, width_m, settings) for note in access.flow_notes]
    known = [note.stage_m for note, _ in notes if note.stage_m is not None]
    datum_m = access.stage_m if access.stage_m is not None else min(known, default=None)
    codes = ("datum_assumed",) if access.stage_m is None and known else ()
    ratios = mean_over_surface(access.flow_notes, settings)
    seen = [_seen(note, datum_m, how + codes, ratios) for note, how in notes]
    return datum_m, _one_a_stage(seen)


def _with_stage(
    note: FlowNote, notes: Sequence[FlowNote], width_m: float, settings: StageSettings
) -> tuple[FlowNote, tuple[str, ...]]:
    """A note of discharge alone gets its stage from the nearest note that has both.

    At a station depth goes as Q^0.40; the stage differs by as much as the depth.
    """
    if note.stage_m is not None:
        return note, ("stage_assumed",) if note.stage_assumed else ()
    if not note.discharge_m3_s:
        return note, ("stage_assumed",)
    both = [
        (note.discharge_m3_s / other.discharge_m3_s, other.stage_m, _depth_m(other, width_m, settings))
        for other in notes
        if other.stage_m is not None and other.discharge_m3_s and not other.stage_assumed
    ]
    if not both:
        return note, ("stage_unknown",)
    times, stage_m, depth_m = min(both, key=lambda pair: abs(log(pair[0])))
    return replace(note, stage_m=stage_m + depth_m * (times**DEPTH_EXPONENT - 1.0)), ("stage_from_discharge",)


def _depth_m(note: FlowNote, width_m: float, settings: StageSettings) -> float:
    """As noted, else a share of the width."""
    return note.depth_m or (note.width_m or width_m) / settings.width_to_depth


def mean_over_surface(notes: Sequence[FlowNote], settings: StageSettings) -> dict[MeanKind, Ratio]:
    """Mean over surface speed by kind of mean: policy's, or the site's own where that is lower.

    A lower ratio gives a higher surface speed from the same mean, so the more careful of the two counts.
    """
    ratios = {
        MeanKind.VERTICAL: Ratio(settings.vertical_ratio, own=False),
        MeanKind.SECTION: Ratio(settings.section_ratio, own=False),
    }
    for note in notes:
        if note.surface_speed_m_s and note.mean_speed_m_s:
            kind = note.mean_kind or MeanKind.SECTION
            own = max(note.mean_speed_m_s / note.surface_speed_m_s, RATIO_LEAST)
            if own < ratios[kind].value:
                ratios[kind] = Ratio(own, own=True)
    return ratios


def surface_speed(note: FlowNote, ratios: dict[MeanKind, Ratio]) -> tuple[float, tuple[str, ...]]:
    """Fastest surface thread of a note [m/s], and how it was come by."""
    surface, mean = note.surface_speed_m_s, note.mean_speed_m_s
    for speed in (surface, mean):
        if speed is not None and not (isfinite(speed) and speed >= 0.0):
            raise OutOfRange(f"flow note: speed {speed:g} m/s; needed: finite and not negative")
    if surface is not None:
        # no mean is faster than the fastest thread: the note contradicts itself, the faster figure counts
        return (surface, ()) if mean is None or mean <= surface else (mean, ("surface_below_mean",))
    if mean is None:
        raise OutOfRange("flow note without a speed; needed: surface_speed or mean_speed")
    kind = note.mean_kind or MeanKind.SECTION
    ratio = ratios[kind]
    convert = surface_from_section_mean_m_s if kind is MeanKind.SECTION else surface_from_vertical_mean_m_s
    codes = (f"speed_from_{kind.value}_mean", *(("note_ratio",) if ratio.own else ()))
    return convert(mean, ratio=ratio.value), codes


def _seen(
    note: FlowNote, datum_m: float | None, codes: tuple[str, ...], ratios: dict[MeanKind, Ratio]
) -> Seen:
    speed_m_s, how = surface_speed(note, ratios)
    rise_m = note.stage_m - datum_m if note.stage_m is not None and datum_m is not None else 0.0
    return Seen(
        rise_m=rise_m,
        stage_m=note.stage_m,
        surface_speed_m_s=speed_m_s,
        discharge_m3_s=note.discharge_m3_s,
        width_m=note.width_m,
        depth_m=note.depth_m,
        assumed=codes + how,
    )


def _one_a_stage(seen: Sequence[Seen]) -> tuple[Seen, ...]:
    """Notes of one stage become one: the fastest, with the greatest width noted there."""
    merged: list[Seen] = []
    for one in sorted(seen, key=lambda one: (one.stage_m is not None, one.rise_m)):
        if merged and _same_stage(merged[-1], one):
            merged[-1] = _faster(merged[-1], one)
        else:
            merged.append(one)
    return tuple(sorted(merged, key=lambda one: one.rise_m))


def _same_stage(one: Seen, other: Seen) -> bool:
    if one.stage_m is None or other.stage_m is None:
        return one.stage_m is None and other.stage_m is None
    return abs(one.stage_m - other.stage_m) < SAME_STAGE_M


def _faster(one: Seen, other: Seen) -> Seen:
    fast, slow = (other, one) if other.surface_speed_m_s > one.surface_speed_m_s else (one, other)
    widths = [width_m for width_m in (one.width_m, other.width_m) if width_m is not None]
    depth_m = fast.depth_m if fast.depth_m is not None else slow.depth_m
    return replace(fast, width_m=max(widths, default=None), depth_m=depth_m)
