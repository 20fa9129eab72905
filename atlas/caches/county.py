"""county.toml: the county, its reaches, its edition and its own policy values."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from atlas.caches.gauges import read_gauges
from atlas.caches.keys import Key, Reader, Table, read_keys, record, refuse_twice, tables
from atlas.caches.spot import FAULTY, IsFaulty, Spot
from atlas.caches.values import choice, day, flag, form, text
from atlas.faults import Fault, InputFaults, Severity, clean_text
from atlas.records import Background, County, Reach
from atlas.settings import read_table
from atlas.units import shown_raw

_ENDLESS = 1e300  # NaN and infinity are not under it either
_LONGEST_EDITION, _LONGEST_FOLDER = 20, 40
_REACH_CODE: Final = re.compile(r"[A-Z]{1,4}")
_DEEPEST = 5  # a dotted policy key has two or three parts
_SAFE_NAME: Final = "letters A to Z, digits, . _ and -, beginning with a letter or digit, not ending with ."

Override = tuple[str, float | str | bool]


@dataclass(frozen=True, slots=True)
class CountyFile:
    """What county.toml gave.

    Attributes
    ----------
    county : None where anything that holds for the whole county is at fault
    reach_codes : every code in its form that it names; None where the file could not be read
    """

    county: County | None
    reach_codes: frozenset[str] | None
    faults: tuple[Fault, ...]


def safe_name(longest: int) -> Reader[str]:
    """Reader of a name that becomes part of a folder's name, on any system."""
    return form(
        rf"[A-Za-z0-9](?:[A-Za-z0-9._-]{{0,{longest - 2}}}[A-Za-z0-9_-])?", f"at most {longest} {_SAFE_NAME}"
    )


_REACH_KEYS: Final = (
    Key("code", form(_REACH_CODE.pattern, "1 to 4 capital letters, A to Z"), 'code = "OT"', required=True),
    Key("name", text(60), 'name = "Otter, upper"', required=True),
    Key("river", text(60), 'river = "Otter River"', required=True),
)


def _reaches(raw: object, spot: Spot) -> tuple[Reach, ...] | IsFaulty:
    """Reader of ``[[reach]]``."""
    found = tables("reach", record(_REACH_KEYS, Reach))(raw, spot)
    if found is FAULTY:
        return FAULTY
    return refuse_twice(
        found,
        lambda reach: reach.code,
        spot,
        code="duplicate_reach",
        what="two reaches of one code",
        todo="give each a code of its own",
    )


def _file_in(folder: Path) -> Reader[str]:
    """Reader of the path of a file inside the county's folder."""

    def read(raw: object, spot: Spot) -> str | IsFaulty:
        name = text(120)(raw, spot)
        if name is FAULTY:
            return FAULTY
        path = folder / name
        if not path.resolve().is_relative_to(folder.resolve()):
            return spot.refuse_raw(
                "path_outside", "the file is not in the county's folder", raw, allowed="a path under it"
            )
        if not path.is_file():
            return spot.refuse(
                "file_missing",
                "the file is not there",
                got=shown_raw(raw),
                todo="put it back, or mend its name",
                severity=Severity.FILE,
            )
        return name

    return read


def _overrides(raw: object, spot: Spot) -> tuple[Override, ...] | IsFaulty:
    """Reader of ``[policy]``: dotted keys and values; settings know which keys and values there are."""
    if not isinstance(raw, dict):
        return spot.refuse_raw("not_table", "this is no table", raw)
    found: dict[str, float | str | bool] = {}
    faulty = False
    for key, value in _flat(raw):
        at = spot.at(clean_text(key, longest=60))
        if key in found:
            at.refuse(
                "policy_twice", "this policy value stands twice", got=shown_raw(value), todo="take one out"
            )
            faulty = True
        elif isinstance(value, bool | str) or (isinstance(value, int | float) and abs(value) < _ENDLESS):
            found[key] = value
        else:
            at.refuse_raw("policy_value", "this is no value", value, allowed="a finite number, true or false")
            faulty = True
    return FAULTY if faulty else tuple(found.items())


def _flat(table: Table, prefix: str = "") -> Iterator[tuple[str, object]]:
    """Every value of a table within tables, by its dotted key."""
    for name, value in table.items():
        if isinstance(value, dict) and prefix.count(".") < _DEEPEST:
            yield from _flat(value, f"{prefix}{name}.")
        else:
            yield f"{prefix}{name}", value


def _county_keys(folder: Path) -> tuple[Key, ...]:
    background = record(
        (
            Key("name", text(60), 'name = "roads"', required=True),
            Key("file", _file_in(folder), 'file = "background/roads.geojson"', required=True),
            Key(
                "kind",
                form(r"[a-z][a-z0-9_]{0,29}", "a word in small letters"),
                'kind = "road"',
                required=True,
            ),
        ),
        Background,
    )
    return (
        Key("name", text(60), 'name = "Alder County"', required=True),
        Key("issued", day, "issued = 2026-11-20"),
        Key("edition", safe_name(_LONGEST_EDITION), 'edition = "2026"', required=True),
        Key("paper", choice(("letter", "a4")), 'paper = "letter"', default="letter"),
        Key("units", choice(("us", "si")), 'units = "us"', default="us"),
        Key("invented", flag, "invented = true", default=False),
        Key("reach", _reaches, "[[reach]]", into="reaches", required=True),
        Key("background", tables("background", background), "[[background]]", into="backgrounds", default=()),
        Key("policy", _overrides, '"limits.factor_track" = 7', into="policy_overrides", default=()),
        Key("gauges", read_gauges, "[gauges]"),
    )


def _codes(table: Table) -> frozenset[str]:
    """Every reach code in its form, so that another fault of a reach is not told again in the caches."""
    entries = table.get("reach")
    tables_there = (
        [entry for entry in entries if isinstance(entry, dict)] if isinstance(entries, list) else []
    )
    codes = [entry.get("code") for entry in tables_there]
    return frozenset(code for code in codes if isinstance(code, str) and _REACH_CODE.fullmatch(code))


def read_county_file(folder: Path) -> CountyFile:
    """COUNTY/county.toml, with everything wrong with it.

    Parameters
    ----------
    folder : the county's folder; its name becomes part of the edition's
    """
    path = folder / "county.toml"
    try:
        found = read_table(path)
    except InputFaults as unreadable:
        return CountyFile(None, None, unreadable.faults)
    faults: list[Fault] = []
    # a folder given as . or .. has its name elsewhere
    name = folder.name if folder.name.strip(".") else folder.resolve().name
    folder_name = safe_name(_LONGEST_FOLDER)(
        name, Spot(str(folder), faults, ("name of the folder",), "alder-county")
    )
    read = read_keys(found, _county_keys(folder), Spot(str(path), faults))
    county = None
    if folder_name is not FAULTY and not read.broken and read.values["reaches"]:
        county = County(folder=folder_name, **read.values)
    return CountyFile(county, _codes(found), tuple(faults))
