"""One gauge refreshed: every service asked, every answer checked, one record and one reading out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import Any, Final, TypeVar
from urllib.parse import quote

from atlas.faults import ServiceFailed, clean_text
from atlas.gauges.client import Client
from atlas.gauges.features import all_items
from atlas.gauges.flood import read_flood
from atlas.gauges.measurements import GAGE_HEIGHT, STREAMFLOW, own_properties, read_measurements
from atlas.gauges.numbers import LeftOut
from atlas.gauges.readings import MEAN_OF_DAY, read_daily, read_latest
from atlas.records import (
    DailyFlows,
    FieldMeasurement,
    FloodLevel,
    GaugeName,
    GaugeReading,
    GaugeRecord,
    GaugeServices,
)

__all__ = ["Refreshed", "refresh_gauge"]

_READINGS_KEPT: Final = timedelta(minutes=2)
_REST_KEPT: Final = timedelta(hours=6)
_PAGE: Final = "10000"
_LONGEST: Final = 120
Found = TypeVar("Found")


@dataclass(frozen=True, slots=True)
class Refreshed:
    """What asking for one gauge gave.

    Attributes
    ----------
    record : None where its measurements could not be had: what is kept in the county stays as it is
    reading : None where there is none to be trusted
    failures : services that gave no answer, each with its reason
    left_out : what was in the answers and is not in the records
    stale : days of the answers that are old ones, because no new ones could be had
    """

    gauge: str
    record: GaugeRecord | None
    reading: GaugeReading | None
    failures: tuple[str, ...]
    left_out: tuple[str, ...]
    stale: tuple[str, ...]


class _Asking:
    """One gauge being asked for; failures and what was left out are kept as they come."""

    def __init__(self, client: Client, services: GaugeServices, gauge: GaugeName) -> None:
        self.client, self.services, self.gauge = client, services, gauge
        self.left_out = LeftOut()
        self.failures: list[str] = []
        self.stale: list[str] = []

    def rows(
        self, collection: str, params: dict[str, str], *, keep: timedelta = _REST_KEPT, by: str = ""
    ) -> list[dict[str, Any]]:
        """Properties of the station's features in a collection."""
        base = self.services.features_url
        if base is None:
            raise ServiceFailed("no service of measurements is configured: county.toml, [gauges], features")
        asked = {by or "monitoring_location_id": self.gauge.location, "limit": _PAGE, **params}
        items = all_items(self.client, base, collection, asked, keep=keep)
        if items.stale:
            self.stale.append(f"{collection} of {items.fetched.date().isoformat()}")
        return own_properties(items.features, self.gauge.location, self.left_out, key=by)

    def tried(self, ask: Callable[[], Found], otherwise: Found) -> Found:
        """What a question gives, or else something; the failure is kept."""
        try:
            return ask()
        except ServiceFailed as cause:
            self.failures.append(str(cause))
            return otherwise

    def flood(self) -> tuple[FloodLevel, ...]:
        """Flood categories; none where the gauge has no identifier for them."""
        base, identifier = self.services.flood_url, self.gauge.flood
        if identifier is None:
            return ()
        if base is None:
            raise ServiceFailed("no service of flood categories is configured: county.toml, [gauges], flood")
        answer = self.client.ask(f"{base}/gauges/{quote(identifier, safe='')}", keep=_REST_KEPT)
        if answer.stale:
            self.stale.append(f"flood categories of {answer.fetched.date().isoformat()}")
        return read_flood(answer.content, identifier, self.left_out)


def _text(raw: object) -> str | None:
    return clean_text(raw.strip(), longest=_LONGEST) if isinstance(raw, str) and raw.strip() else None


def _daily(asking: _Asking, today: date) -> DailyFlows | None:
    years = asking.services.daily_years
    if not years:
        return None
    # whole years, so that the same question is asked, and kept, all year
    since = date(today.year - years, 1, 1).isoformat()
    params = {"parameter_code": STREAMFLOW, "statistic_id": MEAN_OF_DAY, "datetime": f"{since}/.."}
    return read_daily(asking.rows("daily", params), asking.left_out, today=today)


def _reading(asking: _Asking, now: datetime) -> GaugeReading | None:
    latest = asking.rows("latest-continuous", {}, keep=_READINGS_KEPT)
    # whole days, so that the same question is asked, and kept, all day; the hours are picked out here
    since = (now.astimezone(UTC).date() - timedelta(days=1)).isoformat()
    before = {"parameter_code": GAGE_HEIGHT, "datetime": f"{since}T00:00:00Z/.."}
    nothing: list[dict[str, Any]] = []
    trail = asking.tried(lambda: asking.rows("continuous", before, keep=_READINGS_KEPT), nothing)
    return read_latest(asking.gauge.name, latest, trail, asking.left_out, now=now)


def _measurements(asking: _Asking, kept: GaugeRecord | None) -> tuple[FieldMeasurement, ...]:
    """Those of the service; an empty answer does not wipe out what is kept."""
    channel = asking.rows("channel-measurements", {})
    field = asking.rows("field-measurements", {})
    found = read_measurements(channel, field, asking.left_out)
    if kept is not None and kept.measurements and not found:
        asking.failures.append("the service gave no measurement: those that are kept stay")
        return kept.measurements
    return found


def _record(asking: _Asking, kept: GaugeRecord | None, now: datetime) -> GaugeRecord:
    """Raises ServiceFailed where station or measurements cannot be had; the rest may be what is kept."""
    stations = asking.rows("monitoring-locations", {}, by="id")
    station = stations[0] if stations else {}
    if not stations:
        raise ServiceFailed(f"the service of measurements has no station {asking.gauge.location}")
    today = now.astimezone(UTC).date()
    return GaugeRecord(
        name=asking.gauge.name,
        station=_text(station.get("monitoring_location_name")),
        datum=_text(station.get("vertical_datum_name")) or _text(station.get("vertical_datum")),
        refreshed=today,
        measurements=_measurements(asking, kept),
        flood=asking.tried(asking.flood, () if kept is None else kept.flood),
        daily=asking.tried(lambda: _daily(asking, today), None if kept is None else kept.daily),
    )


def refresh_gauge(
    client: Client,
    services: GaugeServices,
    gauge: GaugeName,
    *,
    now: datetime,
    kept: GaugeRecord | None = None,
) -> Refreshed:
    """Ask every service for one gauge; nothing is raised for what a service does.

    Parameters
    ----------
    now : with its zone
    kept : in the county; its parts stay where a service gives none

    Raises
    ------
    OutputError
        The cache cannot be used.
    """
    asking = _Asking(client, services, gauge)
    record = asking.tried(lambda: _record(asking, kept, now), None)
    reading = asking.tried(lambda: _reading(asking, now), None)
    return Refreshed(
        gauge=gauge.name,
        record=record,
        reading=reading,
        failures=tuple(asking.failures),
        left_out=asking.left_out.told(),
        stale=tuple(asking.stale),
    )
