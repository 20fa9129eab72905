"""Field measurements of a gauge and flow notes of a site, brought to one measure: the site's own water."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from atlas.records import Access, FieldMeasurement, FlowNote, GaugeRelation, MeanKind
from atlas.water.notes import StageSettings, mean_over_surface, surface_speed
from atlas.water.speeds import surface_from_section_mean_m_s

__all__ = ["GaugeRow", "GaugeRows", "gauge_rows"]

APART_MOST: Final = 0.05
"""Of flow from width x depth x speed: a row farther apart contradicts itself."""
DEPTH_OVER_WIDTH: Final = -0.6
SPEED_OVER_WIDTH: Final = -0.4
"""Depth and speed as powers of the width ratio at one flow: Manning's law of a wide section of the same
slope and roughness, q = d^(5/3) sqrt(S) / n with q = Q / w; so d goes as w^(-3/5), v = q / d as w^(-2/5)."""


@dataclass(frozen=True, slots=True)
class GaugeRow:
    """The site's water at one flow.

    Attributes
    ----------
    stage_m : of the gauge, None where unknown [m]
    speed_m_s : of the fastest surface thread [m/s]
    width_m, depth_m : None where not noted
    noted : seen at the site, else measured at the gauge
    """

    discharge_m3_s: float
    stage_m: float | None
    speed_m_s: float
    width_m: float | None
    depth_m: float | None
    noted: bool


@dataclass(frozen=True, slots=True)
class GaugeRows:
    """Rows, and how many were dropped because flow is not width x depth x speed."""

    rows: tuple[GaugeRow, ...]
    dropped: int


def _contradicts_itself(*, discharge_m3_s: float, product_m3_s: float) -> bool:
    return abs(product_m3_s / discharge_m3_s - 1.0) > APART_MOST


def _measured(one: FieldMeasurement, relation: GaugeRelation, ratio: float) -> GaugeRow:
    """A measurement of the gauge's section as it would be at the site."""
    wider = relation.width_ratio
    mean_m_s = one.mean_speed_m_s * wider**SPEED_OVER_WIDTH
    return GaugeRow(
        discharge_m3_s=one.discharge_m3_s,
        stage_m=one.stage_m,
        speed_m_s=surface_from_section_mean_m_s(mean_m_s, ratio=ratio),
        width_m=one.width_m * wider,
        depth_m=one.depth_m * wider**DEPTH_OVER_WIDTH,
        noted=False,
    )


def _product_m3_s(note: FlowNote) -> float | None:
    """Width x depth x speed of a note that has the mean of its section, else None."""
    mean = note.mean_speed_m_s if (note.mean_kind or MeanKind.SECTION) is MeanKind.SECTION else None
    if not (note.width_m and note.depth_m and mean):
        return None
    return note.width_m * note.depth_m * mean


def _noted(notes: Sequence[FlowNote], settings: StageSettings) -> GaugeRows:
    """Notes with a flow; a note that contradicts itself is dropped here, and still seen elsewhere."""
    ratios = mean_over_surface(notes, settings)
    rows, dropped = [], 0
    for note in notes:
        flow = note.discharge_m3_s
        speed_m_s, _ = surface_speed(note, ratios)
        if not flow or speed_m_s <= 0.0:
            continue
        product = _product_m3_s(note)
        if product is not None and _contradicts_itself(discharge_m3_s=flow, product_m3_s=product):
            dropped += 1
            continue
        stage_m = None if note.stage_assumed else note.stage_m
        rows.append(GaugeRow(flow, stage_m, speed_m_s, note.width_m, note.depth_m, noted=True))
    return GaugeRows(tuple(rows), dropped)


def gauge_rows(access: Access, relation: GaugeRelation, settings: StageSettings) -> GaugeRows:
    """Every row that fits may be made from.

    Parameters
    ----------
    access : flow notes and the gauge's record are read
    relation : how the site lies to the gauge
    settings : policy

    Notes
    -----
    A section mean becomes the fastest surface thread by the site's own ratio or policy's. At another
    width than the gauge's the same flow is taken to run as in a wide section of the same slope and
    roughness.
    """
    if access.gauged is None:
        return GaugeRows((), 0)
    ratio = mean_over_surface(access.flow_notes, settings)[MeanKind.SECTION].value
    measured = access.gauged.record.measurements
    sound = [
        one
        for one in measured
        if not _contradicts_itself(
            discharge_m3_s=one.discharge_m3_s, product_m3_s=one.area_m2 * one.mean_speed_m_s
        )
    ]
    noted = _noted(access.flow_notes, settings)
    rows = (*(_measured(one, relation, ratio) for one in sound), *noted.rows)
    return GaugeRows(rows, len(measured) - len(sound) + noted.dropped)
