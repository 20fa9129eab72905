"""Tables read by a list of their keys: adding a key is one line in a list."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any, TypeVar

from atlas.caches.spot import FAULTY, IsFaulty, Spot, nearest, numbered
from atlas.faults import Severity, clean_text

Table = dict[str, Any]
Record = TypeVar("Record")
Reader = Callable[[Any, Spot], Record | IsFaulty]


# Keys that name an entry of a list, the best first.
_NAMING = ("code", "name", "item", "kind")


@dataclass(frozen=True, slots=True)
class Key:
    """One key of a table.

    Attributes
    ----------
    name : as written in the file
    read : gives the value, or tells what is wrong at the spot
    example : how it may be written, told with a fault
    into : field of the record; the same name where not given, none where empty
    required : its absence is a fault
    default : the value where it is absent or at fault
    """

    name: str
    read: Reader[Any]
    example: str
    into: str | None = None
    required: bool = False
    default: Any = None

    @property
    def field(self) -> str:
        """Field of the record; empty for a key that is checked and not kept."""
        return self.name if self.into is None else self.into


@dataclass(frozen=True, slots=True)
class Read:
    """Values by the record's field, and the names of the keys that are missing or at fault."""

    values: dict[str, Any]
    broken: frozenset[str]


def tell_unknown(names: Iterable[str], known: Iterable[str], spot: Spot) -> None:
    """A warning for each key that is not known, with the nearest that is."""
    known = tuple(known)
    for name in names:
        if name in known:
            continue
        like = nearest(name, known)
        spot.at(clean_text(name, longest=30)).refuse(
            "unknown_key",
            "this key is not known and was not read",
            allowed=None if like else ", ".join(known),
            todo=f"was '{like}' meant?" if like else "take it out",
            severity=Severity.WARNING,
        )


def read_keys(table: Table, keys: Sequence[Key], spot: Spot) -> Read:
    """Every key of a table: its value, its default, or a fault told."""
    tell_unknown(table, (key.name for key in keys), spot)
    values: dict[str, Any] = {}
    broken: set[str] = set()
    for key in keys:
        at = spot.at(key.name, example=key.example)
        value = key.default
        raw = table.get(key.name)
        if raw is not None and not (key.required and raw == []):
            found = key.read(raw, at)
            if found is FAULTY:
                broken.add(key.name)
            else:
                value = found
        elif key.required:
            at.refuse("missing_key", "this key is missing")
            broken.add(key.name)
        if key.field:
            values[key.field] = value
    return Read(values, frozenset(broken))


def record(keys: Sequence[Key], make: Callable[..., Record]) -> Reader[Record]:
    """Reader of one table into one record; a table with any fault gives none."""

    def read(table: Table, spot: Spot) -> Record | IsFaulty:
        found = read_keys(table, keys, spot)
        return FAULTY if found.broken else make(**found.values)

    return read


def tables(word: str, read: Reader[Record]) -> Reader[tuple[Record, ...]]:
    """Reader of ``[[word]]`` entries: those that are in order; the rest is told and left out."""

    def read_all(raw: object, spot: Spot) -> tuple[Record, ...] | IsFaulty:
        if not isinstance(raw, list) or not all(isinstance(entry, dict) for entry in raw):
            return spot.refuse_raw(
                "not_tables", "this is no list of tables", raw, allowed=f"[[{word}]] entries"
            )
        outer = Spot(spot.file, spot.faults, spot.path[:-1])
        records: list[Record] = []
        for number, entry in enumerate(raw, start=1):
            label = numbered(word, number, next((entry[key] for key in _NAMING if key in entry), None))
            found = read(entry, outer.at(label))
            if found is not FAULTY:
                records.append(found)
        return tuple(records)

    return read_all


def refuse_twice(
    records: Sequence[Record],
    name_of: Callable[[Record], str],
    spot: Spot,
    *,
    code: str,
    what: str,
    todo: str,
) -> tuple[Record, ...]:
    """Records whose name was not there before; the others are told and left out."""
    first: dict[str, Record] = {}
    for record in records:
        name = name_of(record)
        if name in first:
            spot.refuse(code, what, got=clean_text(name, longest=60), todo=todo)
        else:
            first[name] = record
    return tuple(first.values())
