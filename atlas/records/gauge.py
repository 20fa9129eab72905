"""Gauges: where they are asked for, what their hydrographers measured, how high they stand. SI units."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum


class FloodCategory(StrEnum):
    """Levels from which a flood is told, in their order (NWS Manual 10-950)."""

    ACTION = "action"
    MINOR = "minor"
    MODERATE = "moderate"
    MAJOR = "major"


@dataclass(frozen=True, slots=True)
class GaugeRelation:
    """How a site lies to its gauge.

    Attributes
    ----------
    width_ratio : width at the site over that of the gauge's section, at the same flow; 1 in the same
        section [1]
    """

    site: str
    width_ratio: float
    same_section: bool


@dataclass(frozen=True, slots=True)
class GaugeName:
    """A gauge as surveys name it, and where services know it.

    Attributes
    ----------
    location : its identifier in the service of measurements
    flood : its identifier in the service of flood categories
    """

    name: str
    location: str
    flood: str | None = None
    relations: tuple[GaugeRelation, ...] = ()


@dataclass(frozen=True, slots=True)
class GaugeServices:
    """What county.toml says of gauges.

    Attributes
    ----------
    online : off, nothing is asked of any service
    features_url : of an OGC API - Features service with measurements and readings
    flood_url : of a service of flood categories
    daily_years : of daily flows that are asked for
    """

    online: bool = True
    features_url: str | None = None
    flood_url: str | None = None
    daily_years: int = 20
    gauges: tuple[GaugeName, ...] = ()


@dataclass(frozen=True, slots=True)
class FieldMeasurement:
    """One measurement of a section by hydrographers. `mean_speed_m_s` is flow over area."""

    day: date
    stage_m: float | None
    discharge_m3_s: float
    width_m: float
    area_m2: float
    mean_speed_m_s: float

    @property
    def depth_m(self) -> float:
        """Mean depth [m]."""
        return self.area_m2 / self.width_m


@dataclass(frozen=True, slots=True)
class FloodLevel:
    """Where a flood category begins; one of the two is known."""

    category: FloodCategory
    stage_m: float | None
    discharge_m3_s: float | None


@dataclass(frozen=True, slots=True)
class DailyFlows:
    """Mean flow of each day from `first` on, None where unknown [m3/s]."""

    first: date
    flows_m3_s: tuple[float | None, ...]


@dataclass(frozen=True, slots=True)
class GaugeRecord:
    """What is kept of a gauge in the county's folder, and all that fits are made from.

    Attributes
    ----------
    station : the service's name of it
    datum : what its stages count from, in the service's words
    refreshed : the day it was fetched
    flood : by rising category
    """

    name: str
    station: str | None
    datum: str | None
    refreshed: date | None
    measurements: tuple[FieldMeasurement, ...]
    flood: tuple[FloodLevel, ...] = ()
    daily: DailyFlows | None = None


@dataclass(frozen=True, slots=True)
class GaugedSite:
    """A site's gauge. Without `relation` its measurements say nothing of the site."""

    record: GaugeRecord
    relation: GaugeRelation | None


@dataclass(frozen=True, slots=True)
class StageAt:
    """Stage at a moment, which has a zone [m]."""

    at: datetime
    stage_m: float


@dataclass(frozen=True, slots=True)
class GaugeReading:
    """The latest a gauge said, and the hours before.

    Attributes
    ----------
    at : of the latest stage, or of the flow where there is no stage
    provisional : not yet approved by those who keep the gauge
    trail : by rising time
    """

    gauge: str
    at: datetime
    stage_m: float | None
    discharge_m3_s: float | None
    provisional: bool
    trail: tuple[StageAt, ...] = ()
