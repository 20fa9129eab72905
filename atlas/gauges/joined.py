"""Sites with what is kept of their gauges."""

from __future__ import annotations

from collections.abc import Container, Iterable, Mapping
from dataclasses import replace

from atlas.faults import Fault, Severity
from atlas.records import GaugedSite, GaugeName, GaugeRecord, GaugeRelation, GaugeServices, Site

__all__ = ["asked_gauges", "join_gauges", "relation_faults"]


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


def relation_faults(
    sites: Iterable[Site], codes: Container[str], services: GaugeServices | None, file: str
) -> tuple[Fault, ...]:
    """Warnings of relations that say nothing: of no site, or of one whose survey names another gauge.

    Parameters
    ----------
    sites : that can be used
    codes : of all that the surveys hold, those at fault among them
    file : county.toml, as the user knows it
    """
    named = {site.code: site.access.gauge for site in sites}
    faults = []
    for gauge in () if services is None else services.gauges:
        for relation in gauge.relations:
            if relation.site not in codes:
                code, what, got = "gauge_site_unknown", "no survey has such a site", None
            elif relation.site in named and named[relation.site] != gauge.name:
                code, what = "gauge_site_other", "the site's survey does not name this gauge"
                got = named[relation.site] or "none"
            else:
                continue
            faults.append(
                Fault(
                    code, Severity.WARNING, what, file, site=relation.site,
                    field=f"gauges, gauge {gauge.name}, sites", got=got,
                    todo="mend the site's code, or the gauge in its survey",
                )
            )  # fmt: skip
    return tuple(faults)
