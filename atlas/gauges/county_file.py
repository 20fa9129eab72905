"""COUNTY/gauges/NAME.json: what fits are made from, written by `gauges` and read by everything else."""

from __future__ import annotations

import json
import re
from datetime import date
from pathlib import Path
from typing import Final, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError
from pydantic_core import ErrorDetails

from atlas.faults import Fault, InputFaults, OutputError, Severity
from atlas.gauges.numbers import AREA, DISCHARGE, FLOW, SPEED, STAGE, WIDTH
from atlas.records import DailyFlows, FieldMeasurement, FloodCategory, FloodLevel, GaugeRecord

__all__ = ["FOLDER", "file_name", "read_records", "write_record"]

FOLDER: Final = "gauges"
_SCHEMA: Final = 1
_LARGEST_BYTES: Final = 20_000_000
_DAYS_MOST: Final = 40_000
_REMEDY: Final = "fetch it again with reach-atlas gauges, or delete the file"


class _Strict(BaseModel):
    # JSON has no dates: text is read as one, and nothing else is changed into anything else
    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)


class _Measurement(_Strict):
    day: date
    stage_m: float | None = Field(ge=STAGE.allowed.least, le=STAGE.allowed.most, strict=True)
    discharge_m3_s: float = Field(gt=0.0, le=DISCHARGE.allowed.most, strict=True)
    width_m: float = Field(gt=0.0, le=WIDTH.allowed.most, strict=True)
    area_m2: float = Field(gt=0.0, le=AREA.allowed.most, strict=True)
    mean_speed_m_s: float = Field(gt=0.0, le=SPEED.allowed.most, strict=True)


class _Flood(_Strict):
    category: FloodCategory
    stage_m: float | None = Field(ge=STAGE.allowed.least, le=STAGE.allowed.most, strict=True)
    discharge_m3_s: float | None = Field(gt=0.0, le=DISCHARGE.allowed.most, strict=True)


class _Daily(_Strict):
    first: date
    m3_s: list[float | None] = Field(max_length=_DAYS_MOST)


class _File(_Strict):
    schema_: Literal[1] = Field(alias="schema")
    gauge: str = Field(min_length=1, max_length=80)
    station: str | None = Field(max_length=120)
    datum: str | None = Field(max_length=120)
    refreshed: date | None
    note: str | None = Field(default=None, max_length=300)
    measurements: list[_Measurement] = Field(max_length=20_000)
    flood: list[_Flood] = Field(max_length=4)
    daily: _Daily | None


def file_name(gauge: str) -> str:
    """Name of a gauge's file: letters and digits of its name, so that it is a name everywhere."""
    return f"{re.sub(r'[^A-Za-z0-9]+', '-', gauge).strip('-').lower() or 'gauge'}.json"


def _plain(record: GaugeRecord) -> dict[str, object]:
    daily = record.daily
    return {
        "schema": _SCHEMA,
        "gauge": record.name,
        "station": record.station,
        "datum": record.datum,
        "refreshed": None if record.refreshed is None else record.refreshed.isoformat(),
        "measurements": [
            {
                "day": one.day.isoformat(),
                "stage_m": one.stage_m,
                "discharge_m3_s": one.discharge_m3_s,
                "width_m": one.width_m,
                "area_m2": one.area_m2,
                "mean_speed_m_s": one.mean_speed_m_s,
            }
            for one in record.measurements
        ],
        "flood": [
            {"category": one.category.value, "stage_m": one.stage_m, "discharge_m3_s": one.discharge_m3_s}
            for one in record.flood
        ],
        "daily": None
        if daily is None
        else {"first": daily.first.isoformat(), "m3_s": [_short(flow) for flow in daily.flows_m3_s]},
    }


def _short(flow: float | None) -> float | None:
    """To a litre: the service gives three digits, and thousands of days are kept."""
    return None if flow is None else round(flow, 3)


def _json_text(plain: dict[str, object]) -> str:
    """A line a measurement, so that a reviewer sees what changed."""
    lines = []
    for key, value in plain.items():
        if isinstance(value, list) and value:
            inner = ",\n".join(f"    {json.dumps(one, ensure_ascii=False)}" for one in value)
            lines.append(f'  "{key}": [\n{inner}\n  ]')
        else:
            lines.append(f'  "{key}": {json.dumps(value, ensure_ascii=False)}')
    return "{\n" + ",\n".join(lines) + "\n}\n"


def write_record(county: Path, record: GaugeRecord) -> Path:
    """Write a gauge's file, whole or not at all.

    Raises
    ------
    OutputError
        It cannot be written.
    """
    path = county / FOLDER / file_name(record.name)
    beside = path.with_name(f".{path.name}.new")
    try:
        path.parent.mkdir(exist_ok=True)
        beside.write_text(_json_text(_plain(record)), encoding="utf-8", newline="\n")
        beside.replace(path)
    except OSError as cause:
        raise OutputError(f"{path}: cannot be written ({cause.strerror})") from None
    return path


def _fault(path: Path, what: str, code: str, *, got: str | None = None, field: str | None = None) -> Fault:
    return Fault(code, Severity.FILE, what, str(path), field=field, got=got, todo=_REMEDY)


def _worded(path: Path, item: ErrorDetails) -> Fault:
    field = ", ".join(str(part) for part in item["loc"]) or None
    if item["type"] == "json_invalid":
        return _fault(path, "the file is not JSON, or is cut off", "not_json")
    if item["loc"] == ("schema",) and item["type"] == "literal_error":
        newer = isinstance(item["input"], int) and item["input"] > _SCHEMA
        code = "schema_newer" if newer else "schema_unknown"
        return _fault(
            path, "the file is of a schema this version does not read", code, got=repr(item["input"])
        )
    what = {"missing": "this key is missing", "extra_forbidden": "this key is not known"}.get(
        item["type"], "this is not what belongs here"
    )
    got = None if item["type"] == "missing" else repr(item["input"])
    return _fault(path, what, f"gauge_{item['type']}", got=got, field=field)


def _record(file: _File) -> GaugeRecord:
    daily = file.daily
    return GaugeRecord(
        name=file.gauge,
        station=file.station,
        datum=file.datum,
        refreshed=file.refreshed,
        measurements=tuple(FieldMeasurement(**dict(one)) for one in file.measurements),
        flood=tuple(FloodLevel(**dict(one)) for one in file.flood),
        daily=None if daily is None else DailyFlows(daily.first, tuple(daily.m3_s)),
    )


def _read(path: Path) -> GaugeRecord:
    try:
        raw = path.read_bytes()
    except OSError as cause:
        raise InputFaults(
            [_fault(path, "the file cannot be read", "file_unreadable", got=cause.strerror)]
        ) from None
    if len(raw) > _LARGEST_BYTES:
        raise InputFaults([_fault(path, "the file is too large", "file_too_large", got=f"{len(raw)} bytes")])
    try:
        file = _File.model_validate_json(raw)
    except ValidationError as cause:
        raise InputFaults([_worded(path, item) for item in cause.errors(include_url=False)[:5]]) from None
    flows = [] if file.daily is None else [flow for flow in file.daily.m3_s if flow is not None]
    if any(not FLOW.allowed.least <= flow <= FLOW.allowed.most for flow in flows):
        raise InputFaults([_fault(path, "a daily flow no river has", "gauge_daily", field="daily")])
    if path.name != file_name(file.gauge):
        what = "the file is not named for the gauge in it"
        raise InputFaults([_fault(path, what, "gauge_name", got=file.gauge)])
    return _record(file)


def read_records(county: Path) -> tuple[dict[str, GaugeRecord], tuple[Fault, ...]]:
    """Every gauge's file of a county, by the gauge's name; and what is wrong with the others."""
    records: dict[str, GaugeRecord] = {}
    faults: list[Fault] = []
    folder = county / FOLDER
    for path in sorted(folder.glob("*.json")) if folder.is_dir() else []:
        if path.name.startswith("."):
            continue
        try:
            record = _read(path)
            records[record.name] = record
        except InputFaults as cause:
            faults += cause.faults
    return records, tuple(faults)
