"""`gauges`: readings into the user's cache, measurements into the county's folder."""

from __future__ import annotations

import logging
from pathlib import Path
from typing import TYPE_CHECKING

from atlas.cli.options import CountyOption, DebugOption
from atlas.cli.outcome import Exit, Outcome, finish

if TYPE_CHECKING:
    from datetime import datetime

    from atlas.cli.county import CountyInputs
    from atlas.gauges.refresh import Refreshed
    from atlas.records import GaugeName, GaugeReading, GaugeRecord, GaugeServices

__all__ = ["gauges"]


def gauges(county: CountyOption = None, debug: DebugOption = False) -> None:
    """Refresh what gauges say: readings into your cache, measurements into COUNTY/gauges/.

    Only the services that county.toml names under [gauges] are asked. Every other command works without a
    network, from what is kept.
    """
    finish(lambda outcome: _gauges(outcome, county, debug=debug), debug=debug)


def _age(reading: GaugeReading, now: datetime) -> str:
    minutes = max(int((now - reading.at).total_seconds() // 60), 0)
    if minutes < 120:
        return f"{minutes} min old"
    hours = minutes // 60
    return f"{hours} h old" if hours < 48 else f"{hours // 24} days old"


def _reading_line(inputs: CountyInputs, reading: GaugeReading, now: datetime) -> str:
    from atlas.units import Figure, UnitSystem, printed

    system = UnitSystem(inputs.county.units)
    parts = []
    if reading.stage_m is not None:
        parts.append(f"stage {printed(Figure.STAGE, reading.stage_m, system).first}")
    if reading.discharge_m3_s is not None:
        parts.append(f"flow {printed(Figure.DISCHARGE, reading.discharge_m3_s, system).first}")
    parts.append(_age(reading, now))
    if reading.provisional:
        parts.append("provisional")
    return f"{reading.gauge}: {', '.join(parts)}"


def _tell(outcome: Outcome, found: Refreshed) -> None:
    from atlas.cli.console import say

    for failure in found.failures:
        say(f"{found.gauge}: {failure}")
        outcome.at_least(Exit.FILE_FAILED)
    for line in found.left_out:
        say(f"{found.gauge}: {line}")
    for what in found.stale:
        say(f"{found.gauge}: no new answer could be had: {what} is taken")


def _keep(inputs: CountyInputs, found: Refreshed, cache: Path, now: datetime) -> None:
    from atlas.cli.console import result, say
    from atlas.gauges import write_reading, write_record

    if found.record is not None:
        path = write_record(inputs.folder, found.record)
        count = len(found.record.measurements)
        result(f"{found.gauge}: {count} {'measurement' if count == 1 else 'measurements'}, {path}")
    if found.reading is not None:
        write_reading(cache, found.reading)
        result(_reading_line(inputs, found.reading, now))
    else:
        say(f"{found.gauge}: no reading that can be trusted")


def _kept(inputs: CountyInputs, asked: tuple[GaugeName, ...], cache: Path, now: datetime) -> None:
    """What is kept, where nothing is asked."""
    from atlas.cli.console import result
    from atlas.gauges import read_reading

    for gauge in asked:
        reading = read_reading(cache, gauge.name)
        kept = f"{gauge.name}: no reading kept"
        result(kept if reading is None else _reading_line(inputs, reading, now))


def _refresh(
    outcome: Outcome, inputs: CountyInputs, services: GaugeServices, asked: tuple[GaugeName, ...]
) -> None:
    from datetime import UTC, datetime

    from atlas.cli.console import progress
    from atlas.gauges import cache_folder, read_records
    from atlas.gauges.client import Client
    from atlas.gauges.refresh import refresh_gauge

    cache = cache_folder()
    records: dict[str, GaugeRecord] = read_records(inputs.folder)[0]
    with Client(services, cache) as client, progress("gauge", len(asked)) as advance:
        for gauge in asked:
            # a reading's age is against the clock, whatever day the county was issued
            now = datetime.now(UTC)
            found = refresh_gauge(client, services, gauge, now=now, kept=records.get(gauge.name))
            _tell(outcome, found)
            _keep(inputs, found, cache, now)
            advance(gauge.name)


def _gauges(outcome: Outcome, county: Path | None, *, debug: bool) -> None:
    from datetime import UTC, datetime

    from atlas.cli.console import result, say
    from atlas.cli.county import read_everything
    from atlas.gauges import asked_gauges, cache_folder

    if not debug:  # what it warns of, with a traceback, is told in our words
        logging.getLogger("requests_cache").setLevel(logging.ERROR)
    reading = read_everything(county, None)
    inputs = reading.complete()
    outcome.tell(reading.faults)
    services = inputs.county.gauges
    if services is None:
        result("county.toml has no [gauges]: there is nothing to ask")
        return
    asked, unknown = asked_gauges(inputs.survey.sites, services)
    for name in unknown:
        say(f"{name}: surveys name this gauge; county.toml does not say where to ask for it")
    if services.online:
        _refresh(outcome, inputs, services, asked)
        return
    say("asking is switched off in county.toml, [gauges]: this is what is kept")
    _kept(inputs, asked, cache_folder(), datetime.now(UTC))
