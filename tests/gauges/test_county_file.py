"""COUNTY/gauges/NAME.json: what is written comes back, and a spoiled file is told."""

import json
from dataclasses import replace
from datetime import date

import pytest

from atlas.faults import OutputError, Severity
from atlas.gauges import read_records, write_record
from atlas.gauges.county_file import file_name
from atlas.records import DailyFlows, FieldMeasurement, FloodCategory, FloodLevel, GaugeRecord

RECORD = GaugeRecord(
    name="OT G1",
    station="Ōtter River at Narrows",
    datum="North American Vertical Datum of 1988",
    refreshed=date(2026, 11, 20),
    measurements=(
        FieldMeasurement(date(2015, 8, 6), 1.25, 32.5, 31.1, 32.6, 1.0),
        FieldMeasurement(date(2016, 8, 6), None, 52.25, 32.0, 40.1, 1.3),
    ),
    flood=(
        FloodLevel(FloodCategory.ACTION, 4.6, None),
        FloodLevel(FloodCategory.MAJOR, 6.4, 900.0),
    ),
    daily=DailyFlows(date(2020, 1, 1), (12.5, None, 0.0)),
)


def test_a_record_comes_back_as_it_was(tmp_path):
    path = write_record(tmp_path, RECORD)
    assert path == tmp_path / "gauges" / "ot-g1.json"
    assert read_records(tmp_path) == ({"OT G1": RECORD}, ())
    # written again it is the same bytes: a county kept under version control shows what changed
    before = path.read_bytes()
    write_record(tmp_path, RECORD)
    assert path.read_bytes() == before
    assert [one.name for one in path.parent.iterdir()] == ["ot-g1.json"]


def test_a_record_with_nothing_in_it(tmp_path):
    bare = GaugeRecord("OT G1", None, None, None, ())
    write_record(tmp_path, bare)
    assert read_records(tmp_path) == ({"OT G1": bare}, ())


def test_a_county_without_gauges(tmp_path):
    assert read_records(tmp_path) == ({}, ())


@pytest.mark.parametrize(
    ("gauge", "name"),
    [("OT G1", "ot-g1.json"), ("../../etc", "etc.json"), ("Ōtter / 1", "tter-1.json"), ("--", "gauge.json")],
)
def test_a_gauges_name_never_leaves_the_folder(gauge, name):
    assert file_name(gauge) == name


def spoiled(tmp_path, change):
    path = write_record(tmp_path, RECORD)
    plain = json.loads(path.read_text(encoding="utf-8"))
    change(plain)
    path.write_text(json.dumps(plain), encoding="utf-8")
    records, faults = read_records(tmp_path)
    assert records == {}
    assert {fault.severity for fault in faults} == {Severity.FILE}
    return [str(fault).removeprefix(f"{path}") for fault in faults]


REMEDY = "fetch it again with reach-atlas gauges, or delete the file"


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (
            lambda file: file["measurements"][1].update(width_m=-3.0),
            f", measurements, 1, width_m: this is not what belongs here; got -3.0; {REMEDY}",
        ),
        (
            lambda file: file["measurements"][0].update(stage_m="4 ft"),
            f", measurements, 0, stage_m: this is not what belongs here; got '4 ft'; {REMEDY}",
        ),
        (
            lambda file: file["measurements"][0].update(discharge_m3_s=float("inf")),
            f", measurements, 0, discharge_m3_s: this is not what belongs here; got inf; {REMEDY}",
        ),
        (
            lambda file: file["measurements"][0].pop("area_m2"),
            f", measurements, 0, area_m2: this key is missing; {REMEDY}",
        ),
        (
            lambda file: file["flood"][0].update(category="apocalyptic"),
            f", flood, 0, category: this is not what belongs here; got 'apocalyptic'; {REMEDY}",
        ),
        (lambda file: file.update(colour="red"), f", colour: this key is not known; got 'red'; {REMEDY}"),
        (
            lambda file: file.update(schema=2),
            f": the file is of a schema this version does not read; got 2; {REMEDY}",
        ),
        (lambda file: file["daily"]["m3_s"].append(-1.0), f", daily: a daily flow no river has; {REMEDY}"),
        (
            lambda file: file.update(gauge="OT G2"),
            f": the file is not named for the gauge in it; got OT G2; {REMEDY}",
        ),
    ],
)
def test_a_spoiled_file_is_told(tmp_path, change, told):
    assert spoiled(tmp_path, change) == [told]


@pytest.mark.parametrize("content", [b"", b"{", b"[]", b"\xff\xfe", b"[" * 100_000])
def test_a_file_that_is_none(tmp_path, content):
    write_record(tmp_path, RECORD).write_bytes(content)
    records, faults = read_records(tmp_path)
    assert (records, len(faults), faults[0].severity) == ({}, 1, Severity.FILE)


def test_one_spoiled_file_spoils_no_other(tmp_path):
    write_record(tmp_path, RECORD)
    write_record(tmp_path, replace(RECORD, name="OT G2")).write_text("{")
    records, faults = read_records(tmp_path)
    assert (list(records), [fault.code for fault in faults]) == (["OT G1"], ["not_json"])


def test_a_folder_that_cannot_be_written(tmp_path):
    (tmp_path / "gauges").write_text("a file where the folder belongs")
    with pytest.raises(OutputError):
        write_record(tmp_path, RECORD)
