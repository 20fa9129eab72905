"""Readers of single values: each gives the checked value, or tells what is wrong."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Sequence
from datetime import date, datetime
from typing import TypeVar

from atlas.caches.keys import Reader, Record
from atlas.caches.spot import FAULTY, IsFaulty, Spot, nearest
from atlas.records import LonLat
from atlas.units import Allowed, Quantity, QuantityProblem, read_quantity, shown_raw

Value = TypeVar("Value")

_DAY = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)
_FIRST_YEAR, _LAST_YEAR = 1970, 2100
# Farther south stands no agency; a place there is a latitude and longitude the wrong way round.
_LEAST_LATITUDE = -60.0


def text(longest: int = 60) -> Reader[str]:
    """Reader of a text for people: one line, composed as one prints it, not empty, nothing invisible."""

    def read(raw: object, spot: Spot) -> str | IsFaulty:
        if not isinstance(raw, str):
            return spot.refuse_raw("not_text", "this is no text", raw, allowed="a text in quotes")
        value = unicodedata.normalize("NFC", " ".join(raw.split()))
        if not value:
            return spot.refuse_raw("text_empty", "the text is empty", raw)
        if not value.isprintable():
            return spot.refuse_raw("control_characters", "the text holds characters nobody can see", raw)
        if len(value) > longest:
            return spot.refuse_raw(
                "text_too_long",
                f"the text has {len(value)} characters",
                raw,
                allowed=f"at most {longest}",
            )
        return value

    return read


def form(pattern: str, allowed: str) -> Reader[str]:
    """Reader of a text of a certain form, such as a code."""
    matcher = re.compile(pattern, re.ASCII)

    def read(raw: object, spot: Spot) -> str | IsFaulty:
        if not isinstance(raw, str):
            return spot.refuse_raw("not_text", "this is no text", raw, allowed="a text in quotes")
        if matcher.fullmatch(raw) is None:
            return spot.refuse_raw("text_form", "this text has not the form it needs", raw, allowed=allowed)
        return raw

    return read


def choice(names: Sequence[str], code: str = "value_unknown") -> Reader[str]:
    """Reader of one name out of a list."""

    def read(raw: object, spot: Spot) -> str | IsFaulty:
        if isinstance(raw, str) and raw in names:
            return raw
        like = nearest(raw, names) if isinstance(raw, str) else None
        return spot.refuse(
            code,
            "this is none of the names known here",
            got=shown_raw(raw),
            allowed=", ".join(names),
            todo=f"was '{like}' meant?" if like else None,
        )

    return read


def flag(raw: object, spot: Spot) -> bool | IsFaulty:
    """Reader of true or false."""
    if isinstance(raw, bool):
        return raw
    return spot.refuse_raw("not_flag", "this is not yes or no", raw, allowed="true, false")


def whole(most: int) -> Reader[int]:
    """Reader of a count."""

    def read(raw: object, spot: Spot) -> int | IsFaulty:
        allowed = f"a whole number from 0 to {most}"
        if isinstance(raw, bool) or not isinstance(raw, int):
            return spot.refuse_raw("not_whole", "this is no whole number", raw, allowed=allowed)
        if raw < 0:
            return spot.refuse_raw("count_negative", "a count is never negative", raw, allowed=allowed)
        if raw > most:
            return spot.refuse_raw("count_too_large", "implausibly many", raw, allowed=allowed)
        return raw

    return read


def day(raw: object, spot: Spot) -> date | IsFaulty:
    """Reader of a date: TOML's own, or text YYYY-MM-DD."""
    allowed = f"a date YYYY-MM-DD, {_FIRST_YEAR} to {_LAST_YEAR}"
    found: object = raw
    if isinstance(raw, str) and _DAY.fullmatch(raw):
        try:
            found = date.fromisoformat(raw)
        except ValueError:
            return spot.refuse_raw("no_such_day", "the calendar has no such day", raw, allowed=allowed)
    if not isinstance(found, date) or isinstance(found, datetime):
        return spot.refuse_raw("not_a_date", "this is no date", raw, allowed=allowed)
    if not _FIRST_YEAR <= found.year <= _LAST_YEAR:
        return spot.refuse_raw("date_outside", "this date is not of our time", raw, allowed=allowed)
    return found


def _same(value: float) -> float:
    return value


# Problems whose remedy is the unit and not the form of the number.
_OF_UNITS = frozenset({"unit_unknown", "unit_wrong_kind"})


def quantity(
    kind: Quantity,
    *,
    least: float,
    most: float,
    positive: bool = False,
    convert: Callable[[float], float] = _same,
) -> Reader[float]:
    """Reader of a measure between bounds in its base unit, converted to what the record holds."""
    allowed = Allowed(least, most, positive=positive)

    def read(raw: object, spot: Spot) -> float | IsFaulty:
        found = read_quantity(raw, kind, allowed)
        if isinstance(found, QuantityProblem):
            todo = found.todo if found.code in _OF_UNITS else None
            return spot.refuse(found.code, found.what, got=found.got, allowed=found.allowed, todo=todo)
        return convert(found)

    return read


def _is_place(*, lon: float, lat: float) -> bool:
    return abs(lon) <= 180.0 and _LEAST_LATITUDE <= lat <= 90.0


def place(raw: object, spot: Spot) -> LonLat | IsFaulty:
    """Reader of [longitude, latitude] in degrees, WGS 84."""
    allowed = "[longitude, latitude] in degrees, west and south negative"
    if not isinstance(raw, list) or len(raw) != 2:
        return spot.refuse_raw("not_a_place", "this is no place", raw, allowed=allowed)
    numbers = [read_quantity(each, Quantity.ANGLE) for each in raw]
    problem = next((each for each in numbers if isinstance(each, QuantityProblem)), None)
    if problem is not None:
        return spot.refuse(problem.code, problem.what, got=problem.got, allowed=allowed)
    lon, lat = (each for each in numbers if isinstance(each, float))
    got = f"[{lon}, {lat}]"
    if not _is_place(lon=lon, lat=lat) and _is_place(lon=lat, lat=lon):
        return spot.refuse(
            "coordinates_swapped", "longitude and latitude are exchanged", got=got, allowed=allowed,
            todo=f"write it like: {spot.path[-1]} = [{lat}, {lon}]",
        )  # fmt: skip
    if not _is_place(lon=lon, lat=lat):
        return spot.refuse(
            "coordinates_out_of_range", "this is no longitude and latitude", got=got, allowed=allowed
        )
    if lon == 0.0 and lat == 0.0:
        return spot.refuse("coordinates_zero", "0, 0 stands where a place was never filled in", got=got)
    return (lon, lat)


def mapping(
    check_name: Reader[str], read_value: Reader[Value], make: Callable[[str, Value], Record]
) -> Reader[tuple[Record, ...]]:
    """Reader of a table whose keys are the user's own: what is in order of it, as records."""

    def read(raw: object, spot: Spot) -> tuple[Record, ...] | IsFaulty:
        if not isinstance(raw, dict):
            return spot.refuse_raw("not_table", "this is no table", raw)
        records = []
        for name, each in raw.items():
            checked = check_name(name, spot)
            value = read_value(each, spot.at(str(name)))
            if checked is not FAULTY and value is not FAULTY:
                records.append(make(checked, value))
        return tuple(records)

    return read
