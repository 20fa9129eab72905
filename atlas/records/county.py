"""A county, its reaches, and the agencies with what they bring."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from atlas.records.gauge import GaugeServices
from atlas.records.site import LonLat


@dataclass(frozen=True, slots=True)
class Reach:
    """A stretch of one river; a section of the binder. Its code begins the codes of its sites."""

    code: str
    name: str
    river: str


@dataclass(frozen=True, slots=True)
class Background:
    """A layer behind the maps."""

    name: str
    file: str
    kind: str


@dataclass(frozen=True, slots=True)
class County:
    """What county.toml says.

    Attributes
    ----------
    folder : the folder's name, part of the edition's folder name
    units : ``us`` (feet first) or ``si`` (metres first)
    paper : ``letter`` or ``a4``
    policy_overrides : dotted policy key -> value
    gauges : where readings and measurements are asked for; None where county.toml does not say
    invented : every sheet says that the county is invented (the demo county)
    """

    folder: str
    name: str
    issued: date | None
    edition: str
    paper: str
    units: str
    reaches: tuple[Reach, ...]
    backgrounds: tuple[Background, ...] = ()
    policy_overrides: tuple[tuple[str, float | str | bool], ...] = ()
    invented: bool = False
    gauges: GaugeServices | None = None


@dataclass(frozen=True, slots=True)
class RopeStock:
    """Rope of one kind in one agency's cache. `count` pieces of `length_m`."""

    name: str
    length_m: float
    diameter_m: float
    kind: str
    fibre: str
    strength_n: float
    elongation: float
    """Fraction (0.04 for 4 %)."""
    elongation_basis: str
    weight_n_m: float
    count: int
    since: date | None
    retired: bool = False


@dataclass(frozen=True, slots=True)
class GearStock:
    """Hardware in one agency's cache. `item` is a key of templates/gear.toml."""

    item: str
    count: int
    rating_n: float | None = None


@dataclass(frozen=True, slots=True)
class Boat:
    """A boat the agency brings."""

    name: str
    count: int = 1


@dataclass(frozen=True, slots=True)
class Launcher:
    """A way to get the first line over, with the reach the agency tested."""

    kind: str
    reach_m: float


@dataclass(frozen=True, slots=True)
class CrewCount:
    """People on duty with a qualification."""

    qualification: str
    people: int


@dataclass(frozen=True, slots=True)
class TravelTime:
    """Minutes from the agency's station to a reach."""

    reach: str
    minutes: float


@dataclass(frozen=True, slots=True)
class Agency:
    """One agency and its cache."""

    code: str
    name: str
    station: LonLat | None
    minutes: tuple[TravelTime, ...]
    crew: tuple[CrewCount, ...]
    radio: str | None
    ropes: tuple[RopeStock, ...]
    gear: tuple[GearStock, ...]
    boats: tuple[Boat, ...]
    launchers: tuple[Launcher, ...]
