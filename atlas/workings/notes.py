"""A coded remark as data."""

from __future__ import annotations

from atlas.plan import Note

__all__ = ["Table", "note_object"]

Table = dict[str, object]


def note_object(note: Note) -> Table:
    """Code and text, and the anchor it is about."""
    said: Table = {"code": note.code, "text": note.text}
    return said if note.about is None else {**said, "about": note.about}
