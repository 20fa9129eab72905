"""caches.toml: the agencies and what they bring."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from atlas.caches.keys import Key, Reader, Table, read_keys, record, refuse_twice, tables
from atlas.caches.ropes import read_rope
from atlas.caches.spot import FAULTY, IsFaulty, Spot
from atlas.caches.values import choice, form, mapping, place, quantity, text, whole
from atlas.faults import Fault, InputFaults, clean_text
from atlas.records import Agency, Boat, CrewCount, GearStock, Launcher, RopeStock, TravelTime
from atlas.settings import read_table
from atlas.units import Quantity

LAUNCHER_KINDS: Final = ("hand_bag", "slingshot", "pneumatic", "cartridge")

_CODE: Final = form(r"[A-Za-z0-9][A-Za-z0-9_-]{0,15}", "up to 16 letters, digits, - and _")
_WORD: Final = form(r"[a-z][a-z0-9_]{0,29}", "up to 30 small letters, digits and _")
_MINUTES: Final = quantity(Quantity.MINUTES, least=0.0, most=1440.0)
_COUNT: Final = whole(1000)

_LAUNCHER_KEYS: Final = (
    Key("kind", choice(LAUNCHER_KINDS, "launcher_unknown"), 'kind = "hand_bag"', required=True),
    Key(
        "reach",
        quantity(Quantity.LENGTH, least=1.0, most=500.0),
        'reach = "50 ft"',
        into="reach_m",
        required=True,
    ),
)
_BOAT_KEYS: Final = (
    Key("name", text(40), 'name = "raft 14 ft"', required=True),
    Key("count", _COUNT, "count = 1", default=1),
)


def _gear_keys(items: frozenset[str] | None) -> tuple[Key, ...]:
    """Keys of ``[[agency.gear]]``; any word is an item where no list of items is given."""
    item = _WORD if items is None else choice(sorted(items), "gear_unknown")
    return (
        Key("item", item, 'item = "pulley"', required=True),
        Key("count", _COUNT, "count = 6", required=True),
        Key("rating", quantity(Quantity.FORCE, least=500.0, most=1e6), 'rating = "22 kN"', into="rating_n"),
    )


def _known_reach(reaches: frozenset[str] | None) -> Reader[str]:
    """Reader of a reach code that county.toml has; any text where county.toml could not be read."""

    def read(raw: str, spot: Spot) -> str | IsFaulty:
        if reaches is None or raw in reaches:
            return raw
        return spot.at(clean_text(raw, longest=30)).refuse(
            "reach_unknown",
            "county.toml has no such reach",
            allowed=", ".join(sorted(reaches)),
            todo="mend the code, or add the reach to county.toml",
        )

    return read


def _ropes(raw: object, spot: Spot) -> tuple[RopeStock, ...] | IsFaulty:
    """Reader of ``[[agency.rope]]``: a sheet names a rope by its name, so no two share one."""
    found = tables("rope", read_rope)(raw, spot)
    if found is FAULTY:
        return FAULTY
    return refuse_twice(
        found,
        lambda rope: rope.name,
        spot,
        code="duplicate_rope",
        what="two ropes of one name",
        todo="write count = 2 for equal ropes, or give each a name of its own",
    )


def _agency_keys(reaches: frozenset[str] | None, items: frozenset[str] | None) -> tuple[Key, ...]:
    gear, boat, launcher = (
        record(_gear_keys(items), GearStock),
        record(_BOAT_KEYS, Boat),
        record(_LAUNCHER_KEYS, Launcher),
    )
    return (
        Key("code", _CODE, 'code = "NFD"', required=True),
        Key("name", text(60), 'name = "Northside Fire"', required=True),
        Key("station", place, "station = [-77.1, 38.9]"),
        Key(
            "minutes",
            mapping(_known_reach(reaches), _MINUTES, TravelTime),
            "minutes = { OT = 12 }",
            default=(),
        ),
        Key("crew", mapping(_WORD, _COUNT, CrewCount), "crew = { rigging = 6 }", default=()),
        Key("radio", text(60), 'radio = "channel 3"'),
        Key("rope", _ropes, "[[agency.rope]]", into="ropes", default=()),
        Key("gear", tables("gear", gear), "[[agency.gear]]", default=()),
        Key("boat", tables("boat", boat), "[[agency.boat]]", into="boats", default=()),
        Key("launcher", tables("launcher", launcher), "[[agency.launcher]]", into="launchers", default=()),
    )


def _agency(keys: tuple[Key, ...]) -> Reader[Agency]:
    """Reader of one ``[[agency]]``: with code and name it stands, less what is at fault of the rest."""

    def read(table: Table, spot: Spot) -> Agency | IsFaulty:
        found = read_keys(table, keys, spot)
        if "station" not in table and not table.get("minutes"):
            spot.refuse(
                "travel_unknown",
                "the agency has neither a station nor minutes to any reach",
                todo="write minutes = { OT = 12 } for the reaches it serves, or station = [-77.1, 38.9]",
            )
        return FAULTY if found.broken & {"code", "name"} else Agency(**found.values)

    return read


def read_agencies(
    path: Path, *, reaches: frozenset[str] | None, gear_items: frozenset[str] | None
) -> tuple[tuple[Agency, ...], list[Fault]]:
    """The agencies of a caches.toml, and everything wrong with it.

    Parameters
    ----------
    path : the file
    reaches : codes of county.toml; None where it could not be read: then any code passes
    gear_items : items a cache may name; None for any
    """
    try:
        table = read_table(path)
    except InputFaults as unreadable:
        return (), list(unreadable.faults)
    faults: list[Fault] = []
    spot = Spot(str(path), faults)
    agency = Key(
        "agency", tables("agency", _agency(_agency_keys(reaches, gear_items))), "[[agency]]", required=True
    )
    found = read_keys(table, (agency,), spot).values["agency"] or ()
    agencies = refuse_twice(
        found,
        lambda each: each.code,
        spot.at("agency"),
        code="duplicate_agency",
        what="two agencies of one code",
        todo="give each a code of its own",
    )
    return agencies, faults
