"""The river's entries of a form: a flow note of the day, its speed by the fastest float or as measured."""

from __future__ import annotations

import json

from atlas.editions.resurvey.fields import FLOATS, FLOW
from atlas.editions.resurvey.reader import Change, EntryReader
from atlas.faults import clean_text
from atlas.survey.nested import FlowNoteProperties
from atlas.survey.properties import AccessProperties
from atlas.units import Allowed, Quantity, QuantityProblem, read_quantity

__all__ = ["read_flow"]

_ANY_LENGTH = Allowed(0.0, 1000.0, positive=True)
_SPEEDS_APART = 0.10
"""Share by which a speed may differ from that of the floats: the same that a survey allows [A]."""
_FLOATS_WANTED = 3


def _seconds(reader: EntryReader) -> list[float]:
    found = []
    for key in FLOATS[1:]:
        text = reader.entry(f"flow/{key}")
        if text is None:
            continue
        try:
            seconds = float(text.removesuffix("s").strip().replace(",", "."))
        except ValueError:
            seconds = 0.0
        if not 0.0 < seconds < 3600.0:
            reader.tell(
                "form_seconds",
                "these are no seconds",
                field=key,
                got=clean_text(text),
                todo="write like 12.5",
            )
            continue
        found.append(seconds)
    return found


def _float_speed(reader: EntryReader) -> tuple[float, str] | None:
    """Speed of the fastest thread by the floats, and how it was timed; the least time counts."""
    distance = reader.entry("flow/distance")
    timed = [key for key in FLOATS[1:] if reader.entry(f"flow/{key}")]
    if distance is None and not timed:
        return None
    if distance is None or len(timed) < _FLOATS_WANTED:
        missing = [key for key in FLOATS if not reader.entry(f"flow/{key}")]
        reader.tell(
            "form_half_filled",
            "the float timing is half filled: it takes the paced distance and three floats",
            field=", ".join(missing),
            todo="fill these too, or clear its boxes",
        )
        return None
    far = read_quantity(reader.in_unit(AccessProperties, "width", distance), Quantity.LENGTH, _ANY_LENGTH)
    if isinstance(far, QuantityProblem):
        reader.tell("form_distance", far.what, field="distance", got=far.got, todo=far.todo)
        return None
    seconds = _seconds(reader)
    if len(seconds) < _FLOATS_WANTED:
        return None
    told = ", ".join(f"{one:g}" for one in seconds)
    return far / min(seconds), f"floats over {far:.1f} m in {told} s"


def read_flow(reader: EntryReader) -> None:
    """A flow note of the day, its speed from the fastest float or as it was measured."""
    site = reader.filled.site
    access = site.access
    table = FlowNoteProperties
    note: dict[str, object] = {
        key: reader.in_unit(table, key, text) for key in FLOW if (text := reader.entry(f"flow/{key}"))
    }
    floats = _float_speed(reader)
    remark = reader.entry("flow/note")
    if access is None or not (note or floats or remark):
        return
    if floats is not None:
        _with_floats(reader, note, floats[0])
    if "surface_speed" not in note:
        if not any(fault.code.startswith("form_") for fault in reader.faults):
            reader.tell(
                "form_half_filled",
                "the river's entries have no speed",
                field="surface_speed",
                todo="time three floats, write the speed of the fastest thread, or clear the boxes",
            )
        return
    told = "; ".join(filter(None, (remark, floats[1] if floats else None)))
    if told:
        note["note"] = told
    note = {"date": reader.entry("access/surveyed"), **note}
    notes = access.properties.get("flow_notes")
    earlier = _list_of(notes)
    shown = ", ".join(f"{key} {value}" for key, value in note.items())
    value: object = [*earlier, note]
    if isinstance(notes, str):
        value = json.dumps(value, ensure_ascii=False)
    reader.changes.append(
        Change(site.code, access.number, "flow_notes", "flow note", f"{len(earlier)} notes", shown, value)
    )


def _with_floats(reader: EntryReader, note: dict[str, object], speed_m_s: float) -> None:
    given = note.get("surface_speed")
    if given is not None:
        read = read_quantity(given, Quantity.SPEED, Allowed(0.0, 15.0, positive=True))
        if not isinstance(read, QuantityProblem) and abs(read - speed_m_s) > _SPEEDS_APART * speed_m_s:
            reader.tell(
                "form_contradicts",
                "the speed of the fastest thread contradicts the floats",
                field="surface_speed",
                got=f"{given}, and {speed_m_s:.2f} m/s by the floats",
                todo="keep the one that was measured well",
            )
        return
    note["surface_speed"] = round(speed_m_s, 3)


def _list_of(notes: object) -> list[object]:
    if isinstance(notes, str):
        try:
            notes = json.loads(notes)
        except ValueError:
            return []
    return list(notes) if isinstance(notes, list) else []
