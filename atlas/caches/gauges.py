"""``[gauges]`` of county.toml: which services may be asked, and how sites lie to their gauges."""

from __future__ import annotations

from typing import Final
from urllib.parse import urlsplit

from atlas.caches.keys import Key, read_keys, record, refuse_twice, tables
from atlas.caches.spot import FAULTY, IsFaulty, Spot
from atlas.caches.values import flag, form, mapping, text, whole
from atlas.records import GaugeName, GaugeRelation, GaugeServices

__all__ = ["read_gauges"]

_RATIO_LEAST, _RATIO_MOST = 0.5, 2.0
"""Farther apart in width, sections say too little of each other [agency's own figures]."""
_DAILY_YEARS_MOST = 100
_SAME: Final = "same section"
_RELATION: Final = (
    f'"{_SAME}", or the width there over that of the gauge\'s section at the same flow, '
    f"{_RATIO_LEAST:g} to {_RATIO_MOST:g}"
)
_IDENTIFIER: Final = form(r"[A-Za-z0-9][A-Za-z0-9_.-]{0,39}", "up to 40 letters, digits, _ . and -")
_SITE: Final = form(r"[A-Z]{1,4}-[0-9]{1,5}", 'the code of a site, like "OT-03"')


def _address(raw: object, spot: Spot) -> str | IsFaulty:
    """Reader of a service's address: what is not plainly a place on the web is asked nothing."""
    address = text(200)(raw, spot)
    if address is FAULTY:
        return FAULTY
    try:
        parts = urlsplit(address)
        sound = bool(parts.hostname) and parts.port != 0
    except ValueError:
        sound = False
    if (
        not sound
        or parts.scheme not in {"http", "https"}
        or parts.username is not None
        or parts.query
        or parts.fragment
        or " " in address
    ):
        return spot.refuse_raw(
            "not_an_address",
            "this is no address of a service",
            raw,
            allowed="http or https, a host, and a path; no name or password, no ? and no #",
        )
    return address.rstrip("/")


def _relation(raw: object, spot: Spot) -> float | IsFaulty:
    """Reader of how a site lies to a gauge: the ratio of widths, 0 standing for the same section."""
    if raw == _SAME:
        return 0.0
    is_number = isinstance(raw, int | float) and not isinstance(raw, bool)
    if is_number and _RATIO_LEAST <= float(raw) <= _RATIO_MOST:  # type: ignore[arg-type] # a number by the line above
        return float(raw)  # type: ignore[arg-type] # as above
    return spot.refuse_raw("gauge_relation", "this does not say how the site lies to the gauge", raw,
                           allowed=_RELATION)  # fmt: skip


def _related(site: str, ratio: float) -> GaugeRelation:
    return GaugeRelation(site, ratio or 1.0, same_section=not ratio)


_GAUGE_KEYS: Final = (
    Key("name", text(80), 'name = "OT G1"', required=True),
    Key("location", _IDENTIFIER, 'location = "USGS-01234567"', required=True),
    Key("flood", _IDENTIFIER, 'flood = "ABCD1"'),
    Key(
        "sites",
        mapping(_SITE, _relation, _related),
        'sites = { "OT-01" = "same section", "OT-02" = 1.1 }',
        into="relations",
        default=(),
    ),
)


def _gauges(raw: object, spot: Spot) -> tuple[GaugeName, ...] | IsFaulty:
    """Reader of ``[[gauges.gauge]]``."""
    found = tables("gauge", record(_GAUGE_KEYS, GaugeName))(raw, spot)
    if found is FAULTY:
        return FAULTY
    return refuse_twice(
        found,
        lambda gauge: gauge.name,
        spot,
        code="duplicate_gauge",
        what="two gauges of one name",
        todo="give each a name of its own",
    )


_KEYS: Final = (
    Key("online", flag, "online = true", default=True),
    Key("features", _address, 'features = "https://HOST/PATH"', into="features_url"),
    Key("flood", _address, 'flood = "https://HOST/PATH"', into="flood_url"),
    Key("daily_years", whole(_DAILY_YEARS_MOST), "daily_years = 20", default=20),
    Key("gauge", _gauges, "[[gauges.gauge]]", into="gauges", default=()),
)


def read_gauges(raw: object, spot: Spot) -> GaugeServices | IsFaulty:
    """Reader of ``[gauges]``."""
    if not isinstance(raw, dict):
        return spot.refuse_raw("not_table", "this is no table", raw)
    found = read_keys(raw, _KEYS, Spot(spot.file, spot.faults, spot.path))
    return FAULTY if found.broken else GaugeServices(**found.values)
