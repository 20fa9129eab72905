"""Tables of properties: what a feature or nested object may say, one line a property."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Final, Generic, TypeVar, cast

from atlas.survey.report import Report, nearest
from atlas.survey.values import Reader, Text
from atlas.units import shown_raw

__all__ = ["Property", "PropertyTable", "Values", "read_values"]

T = TypeVar("T")
T_co = TypeVar("T_co", covariant=True)
_MOST_UNKNOWN_TOLD: Final = 10


class Property(Generic[T_co]):
    """One property of a `PropertyTable`; its name is the attribute's."""

    name: str

    def __init__(self, reader: Reader[T_co], *, required: bool = False) -> None:
        self.reader = reader
        self.required = required

    def __set_name__(self, owner: type, name: str) -> None:
        self.name = name


class PropertyTable:
    """The properties of one kind of thing, as class attributes."""

    @classmethod
    @cache
    def properties(cls) -> tuple[Property[object], ...]:
        """All properties in their order."""
        return tuple(value for value in vars(cls).values() if isinstance(value, Property))


@dataclass(frozen=True, slots=True)
class Values:
    """Checked values of one feature or nested object.

    Attributes
    ----------
    found : by name; only through `get`, which knows the type
    faulty : names of those that were there and could not be read, or had to be there and were not
    """

    found: dict[str, object]
    faulty: frozenset[str]

    def get(self, wanted: Property[T]) -> T | None:
        """The value, or None where there was none or a faulty one."""
        return cast("T | None", self.found.get(wanted.name))

    def is_faulty(self, *wanted: Property[object]) -> bool:
        """Whether any of these was there and could not be read."""
        return any(one.name in self.faulty for one in wanted)


def _is_missing(raw: object, reader: Reader[object]) -> bool:
    return raw is None or (isinstance(reader, Text) and isinstance(raw, str) and not raw.strip())


def _tell_unknown(names: list[str], known: tuple[str, ...], report: Report) -> None:
    for name in names[:_MOST_UNKNOWN_TOLD]:
        like = nearest(name, known)
        report.inside(name).warn(
            "unknown_key",
            "unknown property, not read",
            allowed=None if like else ", ".join(known),
            todo=f"was '{like}' meant?" if like else "remove it",
        )
    if len(names) > _MOST_UNKNOWN_TOLD:
        more = len(names) - _MOST_UNKNOWN_TOLD
        report.warn("unknown_key", f"{more} more unknown properties, not read", todo="remove them")


def read_values(
    table: type[PropertyTable], raw: dict[str, object], report: Report, *, also: tuple[str, ...] = ()
) -> Values:
    """Read everything a table knows from an object, and tell of what it does not know.

    Parameters
    ----------
    table : what may be there
    raw : what is there
    report : the feature's, or of the field that holds a nested object
    also : names that are read elsewhere
    """
    found: dict[str, object] = {}
    faulty: set[str] = set()
    properties = table.properties()
    for one in properties:
        here = report.inside(one.name)
        mark = len(report.faults)
        value = None
        if not _is_missing(raw.get(one.name), one.reader):
            value = one.reader.read(raw[one.name], here)
        if report.errors_since(mark):
            faulty.add(one.name)
        elif value is not None:
            found[one.name] = value
        elif one.required:
            faulty.add(one.name)
            _tell_missing(one, raw.get(one.name), here)
    known = (*also, *(one.name for one in properties))
    unknown = [name for name in raw if name not in known and raw[name] is not None]
    _tell_unknown(unknown, known, report)
    return Values(found, frozenset(faulty))


def _tell_missing(wanted: Property[object], raw: object, report: Report) -> None:
    report.error(
        "missing_property",
        "a required property is missing",
        got=None if raw is None else shown_raw(raw),
        allowed=wanted.reader.expected,
        todo=f"fill in {wanted.name}",
    )
