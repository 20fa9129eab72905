"""Readings in the user's cache: the latest a gauge said, kept for when there is no network."""

from __future__ import annotations

import json
from datetime import datetime
from pathlib import Path
from typing import Any

from platformdirs import user_cache_path

from atlas.faults import OutputError
from atlas.gauges.county_file import file_name
from atlas.gauges.numbers import moment_of
from atlas.records import GaugeReading, StageAt

__all__ = ["cache_folder", "read_reading", "write_reading"]

_SCHEMA = 1


def cache_folder() -> Path:
    """The program's folder in the user's cache; it need not be there."""
    return user_cache_path("reach-atlas", appauthor=False)


def _path(cache: Path, gauge: str) -> Path:
    return cache / "readings" / file_name(gauge)


def write_reading(cache: Path, reading: GaugeReading) -> Path:
    """Keep a reading, in place of the one before.

    Raises
    ------
    OutputError
        It cannot be written.
    """
    path = _path(cache, reading.gauge)
    plain = {
        "schema": _SCHEMA,
        "gauge": reading.gauge,
        "at": reading.at.isoformat(),
        "stage_m": reading.stage_m,
        "discharge_m3_s": reading.discharge_m3_s,
        "provisional": reading.provisional,
        "trail": [[one.at.isoformat(), one.stage_m] for one in reading.trail],
    }
    beside = path.with_name(f".{path.name}.new")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        beside.write_text(json.dumps(plain), encoding="utf-8")
        beside.replace(path)
    except OSError as cause:
        raise OutputError(f"{path}: cannot be written ({cause.strerror})") from None
    return path


def _number(raw: object) -> float | None:
    sound = isinstance(raw, int | float) and not isinstance(raw, bool) and abs(raw) < 1e6
    return float(raw) if sound else None  # type: ignore[arg-type] # a number by the line above


def _reading(found: dict[str, Any], gauge: str) -> GaugeReading | None:
    at = moment_of(found.get("at"))
    if found.get("schema") != _SCHEMA or found.get("gauge") != gauge or at is None:
        return None
    pairs = [pair for pair in found.get("trail") or [] if isinstance(pair, list) and len(pair) == 2]
    timed: list[tuple[datetime | None, float | None]] = [
        (moment_of(moment), _number(stage)) for moment, stage in pairs
    ]
    trail = tuple(StageAt(moment, stage) for moment, stage in timed if moment and stage is not None)
    return GaugeReading(
        gauge=gauge,
        at=at,
        stage_m=_number(found.get("stage_m")),
        discharge_m3_s=_number(found.get("discharge_m3_s")),
        provisional=found.get("provisional") is not False,
        trail=tuple(sorted(trail, key=lambda one: one.at)),
    )


def read_reading(cache: Path, gauge: str) -> GaugeReading | None:
    """The reading that is kept of a gauge; None where none is, or what is kept cannot be read.

    Whoever prints it says how old it is: today less `at`.
    """
    try:
        found = json.loads(_path(cache, gauge).read_text(encoding="utf-8"))
    except (OSError, ValueError, RecursionError):
        return None
    return _reading(found, gauge) if isinstance(found, dict) else None
