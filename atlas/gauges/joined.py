"""Sites with what is kept of their gauges."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from atlas.records import GaugedSite, GaugeName, GaugeRecord, GaugeRelation, GaugeServices, Site

__all__ = ["asked_gauges", "join_gauges"]


def _relation(site: Site, gauges: Iterable[GaugeName]) -> GaugeRelation | None:
    for gauge in gauges:
        if gauge.name == site.access.gauge:
            return next((one for one in gauge.relations if one.site == site.code), None)
    return None


def join_gauges(
    sites: Iterable[Site], services: GaugeServices | None, records: Mapping[str, GaugeRecord]
) -> tuple[Site, ...]:
    """Each site with the record of the gauge its survey names; as it was where none is kept.

    Parameters
    ----------
    services : say how each site lies to its gauge
    """
    gauges = () if services is None else services.gauges
    joined = []
    for site in sites:
        record = records.get(site.access.gauge or "")
        if record is None:
            joined.append(site)
            continue
        gauged = GaugedSite(record, _relation(site, gauges))
        joined.append(replace(site, access=replace(site.access, gauged=gauged)))
    return tuple(joined)


def asked_gauges(
    sites: Iterable[Site], services: GaugeServices
) -> tuple[tuple[GaugeName, ...], tuple[str, ...]]:
    """Gauges that the surveys name, and names of those that county.toml does not say where to find."""
    named = {site.access.gauge for site in sites if site.access.gauge}
    found = tuple(gauge for gauge in services.gauges if gauge.name in named)
    return found, tuple(sorted(named - {gauge.name for gauge in found}))
