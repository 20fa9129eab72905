"""Features around the track line: water's edges, work areas, dangers and posts."""

from __future__ import annotations

from typing import Final

from atlas.records import Bank, Danger, DangerKind, LonLat, Post, WorkArea
from atlas.survey.geometry import read_shapes
from atlas.survey.properties import (
    COMMON,
    DangerProperties,
    EdgeProperties,
    PostProperties,
    WorkAreaProperties,
)
from atlas.survey.raw import RawFeature
from atlas.survey.report import Report, nearest
from atlas.survey.table import read_values
from atlas.units import shown_raw

__all__ = ["Edge", "read_dangers", "read_edge", "read_post", "read_work_areas"]

Edge = tuple[Bank, tuple[LonLat, ...]]
"""The bank, and the water's edge on it."""
_MISSPELT: Final = 0.75
_ANY: Final = ("point", "line", "polygon")


def read_edge(feature: RawFeature, report: Report, *, placed: bool) -> Edge | None:
    """One water's edge; None where something is faulty."""
    values = read_values(EdgeProperties, feature.properties, report, also=COMMON)
    shapes = read_shapes(feature.geometry, report, kinds=("line",), single=True) if placed else None
    bank = values.get(EdgeProperties.bank)
    return None if bank is None or not shapes else (bank, shapes[0].parts[0])


def read_work_areas(feature: RawFeature, report: Report, *, placed: bool) -> tuple[WorkArea, ...]:
    """The work areas drawn by one feature; none where something is faulty."""
    read_values(WorkAreaProperties, feature.properties, report, also=COMMON)
    shapes = (
        read_shapes(feature.geometry, report, kinds=("point", "polygon"), single=False) if placed else None
    )
    return tuple(WorkArea(shape) for shape in shapes or ())


def _danger_kind(text: str, report: Report) -> DangerKind:
    """The kind with cautions of its own that a text names; one nearly named is told of."""
    known = [kind.value for kind in DangerKind]
    if text in known:
        return DangerKind(text)
    like = nearest(text, known, likeness=_MISSPELT)
    if like:
        report.at(field=DangerProperties.kind.name).warn(
            "danger_kind_unknown",
            "a kind of danger without cautions of its own",
            got=shown_raw(text),
            allowed=", ".join(known),
            todo=f"was '{like}' meant?",
        )
    return DangerKind.OTHER


def read_dangers(feature: RawFeature, report: Report, *, placed: bool) -> tuple[Danger, ...]:
    """The dangers drawn by one feature; none where something is faulty."""
    values = read_values(DangerProperties, feature.properties, report, also=COMMON)
    text = values.get(DangerProperties.kind)
    kind = DangerKind.OTHER if text is None else _danger_kind(text, report)
    shapes = read_shapes(feature.geometry, report, kinds=_ANY, single=False) if placed else None
    if text is None:
        return ()
    note = values.get(DangerProperties.note)
    return tuple(Danger(kind, text, shape, note) for shape in shapes or ())


def read_post(feature: RawFeature, report: Report, *, placed: bool) -> Post | None:
    """One post; None where something is faulty."""
    values = read_values(PostProperties, feature.properties, report, also=COMMON)
    shapes = read_shapes(feature.geometry, report, kinds=("point",), single=True) if placed else None
    kind = values.get(PostProperties.post)
    if kind is None or not shapes:
        return None
    return Post(kind, shapes[0].parts[0][0], values.get(PostProperties.note))
