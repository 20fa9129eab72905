"""A filled form to changes of its site's features, with every half-filled or contradictory entry told."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from datetime import date
from pathlib import Path

from atlas.editions.resurvey.acroform import read_boxes
from atlas.editions.resurvey.fields import (
    ACCESS,
    ANCHOR,
    GONE,
    NEW_ANCHORS,
    TAKEN_OUT,
    YES,
)
from atlas.editions.resurvey.flow import read_flow
from atlas.editions.resurvey.form import FORM, IDENTITY
from atlas.editions.resurvey.reader import Change, EntryReader, Filled
from atlas.editions.resurvey.survey_files import RawSite
from atlas.faults import Fault, InputFaults, Severity, clean_text
from atlas.records import County
from atlas.survey.properties import AccessProperties, AnchorProperties
from atlas.survey.raw import RawFeature
from atlas.units import UnitSystem

__all__ = ["Change", "Filled", "changes_of", "read_form"]


def _refuse(path: Path, code: str, what: str, *, got: str | None = None, todo: str) -> InputFaults:
    return InputFaults([Fault(code, Severity.FILE, what, str(path), got=got, todo=todo)])


def _identity(path: Path, told: str) -> dict[str, object]:
    try:
        found = json.loads(told)
    except (ValueError, RecursionError):
        found = None
    if not isinstance(found, dict) or not isinstance(found.get("form"), int):
        what = "what the form says of itself is damaged"
        raise _refuse(path, "form_damaged", what, todo="print the form again and copy the entries")
    if found["form"] > FORM:
        what = "the form is of a newer release than this program"
        raise _refuse(path, "form_newer", what, todo="install a newer release")
    return found


def read_form(path: Path, county: County, sites: Mapping[str, RawSite]) -> Filled:
    """A form that came back, known to be one of this county's present edition and survey.

    Raises
    ------
    InputFaults
        It is foreign, of another county or edition, or its site's survey changed meanwhile.
    """
    boxes = read_boxes(path)
    told = boxes.pop(IDENTITY, None)
    if told is None:
        what = "this PDF is no survey form of ours, or its boxes were flattened"
        raise _refuse(path, "form_foreign", what, todo="fill a form that the command resurvey printed")
    found = _identity(path, told)
    again = "print the forms again and copy the entries"
    if found.get("county") != county.name:
        got = clean_text(str(found.get("county")))
        raise _refuse(path, "form_county", "the form is of another county", got=got, todo="name its folder")
    if found.get("edition") != county.edition:
        raise _refuse(
            path,
            "form_edition",
            f"the form is of another edition than the county's, which is {county.edition}",
            got=clean_text(str(found.get("edition"))),
            todo=again,
        )
    site = sites.get(str(found.get("site")))
    if site is None:
        got = clean_text(str(found.get("site")))
        raise _refuse(path, "form_site", "no survey has the form's site", got=got, todo=again)
    if found.get("survey") != site.digest:
        what = f"the survey of {site.code} was changed after the form was printed"
        raise _refuse(path, "form_survey", what, todo=again)
    return Filled(path, site, {name: text for name, text in boxes.items() if text})


def _named(anchor: RawFeature) -> str:
    return str(anchor.properties.get("tag") or f"anchor of feature {anchor.number}")


def _access(reader: EntryReader) -> None:
    access = reader.filled.site.access
    if access is None:
        return
    for key in ACCESS:
        reader.take(AccessProperties, f"access/{key}", key, access, key)
    photos = [text for number in range(1, 9) if (text := reader.entry(f"photo/{number}"))]
    if photos:
        old = str(access.properties.get("notes") or "")
        written = next((str(one.value) for one in reader.changes if one.key == "notes"), old)
        reader.changes = [one for one in reader.changes if one.key != "notes"]
        day = reader.entry("access/surveyed") or ""
        new = "; ".join(filter(None, (written, f"photos {day}: {', '.join(photos)}")))
        site = reader.filled.site.code
        reader.changes.append(Change(site, access.number, "notes", "notes", old or TAKEN_OUT, new, new))


def _gone(reader: EntryReader, anchor: RawFeature) -> bool:
    """Whether an anchor is gone; an entry besides contradicts it."""
    stem = f"anchor/{anchor.number}"
    if reader.entry(f"{stem}/{GONE}") != YES:
        return False
    also = [key for key in ANCHOR if reader.entry(f"{stem}/{key}")]
    if also:
        reader.tell(
            "form_contradicts",
            f"{_named(anchor)} is marked as gone and has entries",
            field=", ".join(also),
            todo="clear the mark or the entries",
        )
    code = reader.filled.site.code
    reader.changes.append(Change(code, anchor.number, GONE, _named(anchor), "there", GONE, None))
    return True


def _new_anchors(reader: EntryReader) -> None:
    for number in range(1, NEW_ANCHORS + 1):
        keys = ("tag", "bank", "use", "kind", *ANCHOR, "place")
        told = {key: text for key in keys if (text := reader.entry(f"new/{number}/{key}"))}
        if not told:
            continue
        missing = [key for key in ("bank", "use", "height", "place") if key not in told]
        if missing:
            reader.tell(
                "form_half_filled",
                f"new anchor {number} is half filled",
                field=", ".join(missing),
                todo="fill these too, or clear its boxes",
            )
            continue
        place = _place(reader, number, told.pop("place"))
        if place is None:
            continue
        properties: dict[str, object] = {"site": reader.filled.site.code, "role": "anchor"}
        properties |= {key: reader.in_unit(AnchorProperties, key, text) for key, text in told.items()}
        feature = {
            "type": "Feature",
            "geometry": {"type": "Point", "coordinates": list(place)},
            "properties": properties,
        }
        shown = ", ".join(f"{key} {properties[key]}" for key in told)
        name = told.get("tag", f"new anchor {number}")
        reader.changes.append(
            Change(reader.filled.site.code, None, "new", f"anchor {name}", TAKEN_OUT, shown, feature)
        )


def _place(reader: EntryReader, number: int, text: str) -> tuple[float, float] | None:
    """Longitude and latitude of "lat, lon" in decimal degrees."""
    parts = [part for part in re.split(r"[,;\s]+", text) if part]
    try:
        lat, lon = (float(part) for part in parts)
    except ValueError:
        lat = lon = float("nan")
    if not (abs(lat) <= 90.0 and abs(lon) <= 180.0):
        reader.tell(
            "form_place",
            "this is no place",
            field=f"new anchor {number}, lat, lon",
            got=clean_text(text),
            todo="write decimal degrees, like 30.2021, -140.2317",
        )
        return None
    return lon, lat


def _day(reader: EntryReader) -> None:
    """A form with entries has the day of its survey, after the last one."""
    access, text = reader.filled.site.access, reader.entry("access/surveyed")
    if text is None:
        reader.tell(
            "form_half_filled",
            "the form has entries and no day",
            field="surveyed",
            todo="write the day of the survey, like 2027-04-12",
        )
        return
    try:
        day = date.fromisoformat(text)
        last = date.fromisoformat(str(None if access is None else access.properties.get("surveyed")))
    except ValueError:
        return  # the survey's own checks tell of it
    if day < last:
        reader.tell(
            "form_contradicts",
            f"the day is before that of the last survey, {last.isoformat()}",
            field="surveyed",
            got=text,
            todo="write the day on which the form was filled",
        )


def _heights(reader: EntryReader, there: list[RawFeature]) -> None:
    """Heights are over the water of the day, so they and its stage are measured together or not at all."""
    with_height = [one for one in there if one.properties.get("height") is not None]
    measured = [one for one in there if reader.entry(f"anchor/{one.number}/height")]
    stage = reader.entry("access/stage")
    if not measured and stage is None:
        return
    access = reader.filled.site.access
    had_stage = access is not None and access.properties.get("stage") is not None
    missing = [_named(one) for one in with_height if one not in measured]
    if missing:
        why = "the stage of the day is new" if stage else "some heights are new"
        reader.tell(
            "form_half_filled",
            f"{why}, and heights of the last survey would be over another day's water",
            field=", ".join(missing),
            todo="measure every tie height, or leave stage and heights as they were",
        )
    elif measured and stage is None and had_stage:
        reader.tell(
            "form_half_filled",
            "tie heights are new, and the stage of that day is not told",
            field="stage",
            todo="read the gauge, or write last year's stage if the water stood as high",
        )


def changes_of(filled: Filled, units: UnitSystem) -> tuple[tuple[Change, ...], tuple[Fault, ...]]:
    """What a form changes, and what is half filled or contradictory in it; a form without entries is neither.

    Parameters
    ----------
    units : of the bare numbers in its boxes
    """
    reader = EntryReader(filled, units, [], [])
    if not filled.entries:
        return (), ()
    _day(reader)
    _access(reader)
    there = [one for one in filled.site.of_role("anchor") if not _gone(reader, one)]
    for anchor in there:
        for key in ANCHOR:
            name = f"anchor/{anchor.number}/{key}"
            reader.take(AnchorProperties, name, key, anchor, f"{_named(anchor)} {key}")
    _heights(reader, there)
    _new_anchors(reader)
    read_flow(reader)
    return tuple(reader.changes), tuple(reader.faults)
