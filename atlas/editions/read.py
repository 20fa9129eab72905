"""An edition read back: every value checked, older schemas brought to today's."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path, PurePosixPath

from atlas.editions.folder import RECORD
from atlas.editions.migrate import migrated
from atlas.editions.record import SCHEMA
from atlas.faults import Fault, InputFaults, Severity, clean_text

__all__ = ["Edition", "PageEntry", "PolicyEntry", "read_edition"]

_LARGEST_BYTES = 64 * 1024 * 1024
_KINDS = ("around", "sheet", "not_printed")
_REMEDY = "print that edition again, or name another folder"


@dataclass(frozen=True, slots=True)
class PageEntry:
    """A page of an edition.

    Attributes
    ----------
    kind : ``around`` the sheets, a ``sheet``, or ``not_printed``: in the place of one
    path, workings : in the edition's folder
    changed_in, workings : of a sheet
    name, reach, surveyed, valid_until : of a sheet, from schema 2 on
    """

    label: str
    kind: str
    path: str
    digest: str
    changed_in: str | None = None
    workings: str | None = None
    name: str | None = None
    reach: str | None = None
    surveyed: date | None = None
    valid_until: date | None = None


@dataclass(frozen=True, slots=True)
class PolicyEntry:
    """A policy value of an edition, in SI, with the unit that the policy's file writes it in."""

    value: float | bool | str
    unit: str


@dataclass(frozen=True, slots=True)
class Edition:
    """An edition as its record tells it. `pages` are in the order of the binder."""

    place: Path
    county: str
    name: str
    as_of: date
    paper: str
    units: str
    policy: Mapping[str, PolicyEntry]
    pages: tuple[PageEntry, ...]

    @property
    def sheets(self) -> dict[str, PageEntry]:
        """The sheets by their sites."""
        return {page.label: page for page in self.pages if page.kind == "sheet"}


class _Reader:
    """Takes values out of a record; what is amiss ends it with one clear line."""

    def __init__(self, path: Path) -> None:
        self.path = path

    def refuse(
        self, code: str, what: str, *, got: object = None, allowed: str | None = None, todo: str = _REMEDY
    ) -> InputFaults:
        told = None if got is None else clean_text(json.dumps(got, ensure_ascii=False, default=str))
        fault = Fault(code, Severity.FILE, what, str(self.path), got=told, allowed=allowed, todo=todo)
        return InputFaults([fault])

    def text(self, table: Mapping[str, object], key: str) -> str:
        value = table.get(key)
        if isinstance(value, str) and value and value.isprintable():
            return value
        raise self.refuse("record_broken", f"{key} is no text", got=value)

    def maybe_text(self, table: Mapping[str, object], key: str) -> str | None:
        return None if table.get(key) is None else self.text(table, key)

    def day(self, table: Mapping[str, object], key: str) -> date:
        try:
            return date.fromisoformat(self.text(table, key))
        except ValueError:
            raise self.refuse("record_broken", f"{key} is no day", got=table.get(key)) from None

    def maybe_day(self, table: Mapping[str, object], key: str) -> date | None:
        return None if table.get(key) is None else self.day(table, key)

    def inside(self, table: Mapping[str, object], key: str) -> str:
        """A path that stays in the edition's folder."""
        path = PurePosixPath(self.text(table, key))
        if path.is_absolute() or ".." in path.parts:
            raise self.refuse("record_broken", f"{key} leads out of the edition", got=str(path))
        return str(path)


def _record(place: Path, reader: _Reader) -> dict[str, object]:
    """The record's JSON object, in today's schema."""
    path = place / RECORD
    if not place.is_dir():
        raise reader.refuse("edition_missing", "there is no such edition", todo="name an edition's folder")
    try:
        if path.stat().st_size > _LARGEST_BYTES:
            raise reader.refuse("record_broken", "this is no record of an edition: it is too large")
        found = json.loads(path.read_bytes())
    except FileNotFoundError:
        todo = "name a folder that the command binder wrote"
        raise reader.refuse("edition_missing", "the folder is no edition", todo=todo) from None
    except OSError as cause:
        why = (cause.strerror or type(cause).__name__).lower()
        raise reader.refuse("record_unreadable", f"the record cannot be read: {why}") from None
    except (ValueError, RecursionError):
        raise reader.refuse("record_broken", "the record is no JSON text") from None
    if not isinstance(found, dict):
        raise reader.refuse("record_broken", "the record is no JSON object")
    schema = found.get("schema")
    if isinstance(schema, bool) or not isinstance(schema, int) or schema < 1:
        raise reader.refuse("record_broken", "the record's schema is no number", got=schema)
    if schema > SCHEMA:
        raise reader.refuse(
            "schema_newer",
            "the edition's schema is newer than this program",
            got=schema,
            allowed=f"up to {SCHEMA}",
            todo="install a newer release",
        )
    return migrated(found, schema=schema, to=SCHEMA)


def _page(raw: object, reader: _Reader) -> PageEntry:
    if not isinstance(raw, dict) or raw.get("kind") not in _KINDS:
        raise reader.refuse("record_broken", "a page is none", got=raw)
    digest = reader.text(raw, "hash")
    if not re.fullmatch("[0-9a-f]{64}", digest):
        raise reader.refuse("record_broken", "a page's hash is none", got=digest)
    is_sheet = raw["kind"] == "sheet"
    return PageEntry(
        label=reader.text(raw, "label"),
        kind=raw["kind"],
        path=reader.inside(raw, "path"),
        digest=digest,
        changed_in=reader.text(raw, "changed_in") if is_sheet else None,
        workings=reader.inside(raw, "workings") if is_sheet else None,
        name=reader.maybe_text(raw, "name"),
        reach=reader.maybe_text(raw, "reach"),
        surveyed=reader.maybe_day(raw, "surveyed"),
        valid_until=reader.maybe_day(raw, "valid_until"),
    )


def _policy(raw: object, reader: _Reader) -> dict[str, PolicyEntry]:
    values = raw.get("values") if isinstance(raw, dict) else None
    if not isinstance(values, dict):
        raise reader.refuse("record_broken", "the record has no policy")
    found = {}
    for key, entry in values.items():
        value = entry.get("value") if isinstance(entry, dict) else None
        unit = entry.get("unit") if isinstance(entry, dict) else None
        if not isinstance(value, str | bool | int | float) or not isinstance(unit, str):
            raise reader.refuse("record_broken", f"the policy value {key} is none", got=entry)
        found[key] = PolicyEntry(value, unit)
    return found


def read_edition(place: Path) -> Edition:
    """Read an edition's record.

    Parameters
    ----------
    place : the edition's folder

    Raises
    ------
    InputFaults
        There is none, it is damaged, or newer than this program: one fault of a whole file.
    """
    reader = _Reader(place / RECORD)
    record = _record(place, reader)
    pages = record.get("pages")
    if not isinstance(pages, list):
        raise reader.refuse("record_broken", "the record lists no pages")
    found = tuple(_page(raw, reader) for raw in pages)
    labels = [page.label for page in found]
    if len(set(labels)) != len(labels):
        twice = next(label for label in labels if labels.count(label) > 1)
        raise reader.refuse("record_broken", "a page stands twice in the record", got=twice)
    return Edition(
        place=place,
        county=reader.text(record, "county"),
        name=reader.text(record, "edition"),
        as_of=reader.day(record, "as_of"),
        paper=reader.text(record, "paper"),
        units=reader.text(record, "units"),
        policy=_policy(record.get("policy"), reader),
        pages=found,
    )
