"""Nested values of an access feature: flow notes and the dam that governs the water."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from atlas.records import FlowNote, LowHeadDam, MeanKind
from atlas.survey import limits
from atlas.survey.json_text import duplicate_keys
from atlas.survey.report import Report
from atlas.survey.table import Property, PropertyTable, Values, read_values
from atlas.survey.values import Choice, IsoDate, Text, as_list, from_json_text
from atlas.units import shown_raw

__all__ = ["NESTED", "Dam", "DamProperties", "FlowNoteList", "FlowNoteProperties"]

NESTED: Final = ("dam", "dangers", "flow_notes")
"""Properties whose value is a list or object: JSON text where a file holds flat values only."""
_NOTE: Final = '{"stage": 1.2, "surface_speed": "6.5 mph"}'
_DAM: Final = '{"name": "...", "phone": "...", "travel_min": 40}'


class FlowNoteProperties(PropertyTable):
    """One observation of the river."""

    date = Property(IsoDate())
    stage = Property(limits.STAGE)
    discharge = Property(limits.DISCHARGE)
    width = Property(limits.ACROSS)
    surface_speed = Property(limits.SPEED)
    mean_speed = Property(limits.SPEED)
    mean_kind = Property(Choice(MeanKind))
    depth = Property(limits.DEPTH)
    note = Property(Text())


class DamProperties(PropertyTable):
    """The dam upstream."""

    name = Property(Text(80), required=True)
    phone = Property(Text(40))
    travel_min = Property(limits.DAM_TRAVEL)


def _as_object(raw: object, report: Report, *, like: str) -> dict[str, object] | None:
    if not isinstance(raw, dict):
        report.error(
            "not_an_object",
            "something else where an object belongs",
            got=shown_raw(raw),
            allowed=f"an object like {like}",
            todo="put it in curly brackets, each value with its name",
        )
        return None
    for key in duplicate_keys(raw):
        report.inside(key).error(
            "duplicate_key",
            "the same key stands twice in one object",
            got=shown_raw(key),
            todo="keep one of them",
        )
    return raw


def _check_speeds(values: Values, report: Report) -> None:
    table = FlowNoteProperties
    if values.is_faulty(table.surface_speed, table.mean_speed):
        return
    surface, mean = values.get(table.surface_speed), values.get(table.mean_speed)
    if surface is None and mean is None:
        report.error(
            "note_without_speed",
            "a flow note without a speed",
            allowed="surface_speed, mean_speed or both",
            todo="add the speed that was measured, or remove the note",
        )
    elif surface is not None and mean is not None and mean > surface:
        report.error(
            "mean_above_surface",
            "the mean speed is above that of the fastest surface thread",
            got=f"mean_speed {mean:.2f} m/s, surface_speed {surface:.2f} m/s",
            allowed="a mean_speed up to surface_speed",
            todo="check both speeds and their units",
        )


def _mean_kind(values: Values, report: Report) -> MeanKind | None:
    """What the mean speed is a mean of; not said, the one that leads to the faster surface."""
    table = FlowNoteProperties
    kind = values.get(table.mean_kind)
    if values.get(table.mean_speed) is None or values.is_faulty(table.mean_kind):
        return None
    if kind is None:
        kind = MeanKind.SECTION
        report.inside(table.mean_kind.name).warn(
            "mean_kind_assumed",
            "it is not said what the mean speed is a mean of: taken as of the section",
            allowed=table.mean_kind.reader.expected,
            todo="say which",
        )
    return kind


def _read_note(raw: object, report: Report) -> FlowNote | None:
    fields = _as_object(raw, report, like=_NOTE)
    if fields is None:
        return None
    table = FlowNoteProperties
    values = read_values(table, fields, report)
    _check_speeds(values, report)
    return FlowNote(
        date=values.get(table.date),
        stage_m=values.get(table.stage),
        stage_assumed=False,
        discharge_m3_s=values.get(table.discharge),
        width_m=values.get(table.width),
        surface_speed_m_s=values.get(table.surface_speed),
        mean_speed_m_s=values.get(table.mean_speed),
        mean_kind=_mean_kind(values, report),
        depth_m=values.get(table.depth),
        note=values.get(table.note),
    )


@dataclass(frozen=True, slots=True)
class FlowNoteList:
    """A list of observations."""

    longest: int = 200

    @property
    def expected(self) -> str:
        """What is accepted, for messages."""
        return "a list of flow notes"

    def read(self, raw: object, report: Report) -> tuple[FlowNote, ...] | None:
        """The notes; stages that are not given are still open."""
        entries = as_list(raw, report, like=f"[{_NOTE}]", longest=self.longest)
        if entries is None:
            return None
        notes = [_read_note(entry, report.inside(f"note {n}")) for n, entry in enumerate(entries, start=1)]
        return tuple(note for note in notes if note is not None)


@dataclass(frozen=True, slots=True)
class Dam:
    """The dam upstream, as an object."""

    @property
    def expected(self) -> str:
        """What is accepted, for messages."""
        return "an object with the dam's name"

    def read(self, raw: object, report: Report) -> LowHeadDam | None:
        """The dam."""
        value = from_json_text(raw, report, like=_DAM)
        if value is None:
            return None
        fields = _as_object(value, report, like=_DAM)
        if fields is None:
            return None
        values = read_values(DamProperties, fields, report)
        return LowHeadDam(
            name=values.get(DamProperties.name) or "",
            phone=values.get(DamProperties.phone),
            travel_min=values.get(DamProperties.travel_min),
        )
