"""Every fault, word for word; the cases are data in faults.toml."""

from __future__ import annotations

import json
import re
import tomllib
from pathlib import Path

import pytest

import atlas.survey
from atlas.faults import Severity

DATA = tomllib.loads((Path(__file__).parent / "faults.toml").read_text())
TOLD_ELSEWHERE = {
    "file_missing", "file_unreadable", "file_too_large", "json_too_deep",  # below
    "duplicate_site", "far_from_access", "coordinates_swapped",  # test_together.py
    "numbers_as_text", "schema_assumed",  # test_tabular.py
    "feature_not_drawn", "layer_empty",  # test_background.py
}  # fmt: skip


def told(result):
    return [f"{fault.severity} {fault.code} | {fault}" for fault in result.faults]


@pytest.mark.parametrize("case", DATA["case"], ids=lambda case: case["name"])
def test_survey(case, spoilt, read):
    result = read(spoilt(**json.loads(case["edit"])))
    assert told(result) == case["told"]
    # what concerns the site or its whole file breaks it; what cannot be said to belong to it does not
    concerning = [
        fault
        for fault in result.faults
        if fault.severity is Severity.ERROR and (fault.site == "OT-01" or fault.feature is None)
    ]
    assert [site.code for site in result.broken] == (["OT-01"] if concerning else [])


@pytest.mark.parametrize("case", DATA["file"], ids=lambda case: case["name"])
def test_file(case, read):
    result = read(case["bytes"].encode("latin-1"))
    assert told(result) == case["told"]
    assert result.sites == ()


def test_missing_file_and_folder(read, tmp_path):
    (tmp_path / "b.geojson").mkdir()
    result = read.files(*(tmp_path / name for name in ("a.geojson", "b.geojson", "a.gpkg")))
    assert told(result) == [
        "file file_missing | a.geojson: the file is not there; check the path",
        "file file_unreadable | b.geojson: this is a folder; name a file in it",
        "file file_missing | a.gpkg: the file is not there; check the path",
    ]


def test_file_that_cannot_be_reached(read, tmp_path):
    path = tmp_path / ("x" * 300 + ".geojson")
    assert told(read.files(path)) == [
        (
            f"file file_unreadable | {path.name[:299]}…: the file cannot be read: file name too long; "
            "check path and permissions"
        )
    ]


def test_file_that_cannot_be_opened(read, monkeypatch):
    def refused(_path):
        raise PermissionError(13, "Permission denied")

    path = read.write("{}")
    monkeypatch.setattr(Path, "read_bytes", refused)
    assert told(read.files(path)) == [
        (
            "file file_unreadable | a.geojson: the file cannot be read: permission denied; "
            "check path and permissions"
        )
    ]


def test_file_too_large(read):
    path = read.write("{}")
    with path.open("r+b") as file:
        file.truncate(64 * 1024 * 1024 + 1)
    assert told(read.files(path)) == [
        (
            "file file_too_large | a.geojson: the file is too large for a survey; got 67108865 bytes; "
            "allowed: at most 67108864 bytes; split it by reach"
        )
    ]


def test_nested_too_deep(read):
    assert told(read(b'{"a":' * 100_000)) == [
        (
            "file json_too_deep | a.geojson: JSON nested too deep; got lists or objects within each other; "
            "export the survey again"
        )
    ]


def test_every_code_in_the_source_is_told_in_a_test():
    source = "".join(path.read_text() for path in Path(atlas.survey.__file__).parent.glob("*.py"))
    in_source = set(re.findall(r"(?:\.(?:error|warn|fail)|_Fault|JsonProblem)\(\s*\"([a-z0-9_]+)\"", source))
    in_data = {line.split()[1] for group in ("case", "file") for case in DATA[group] for line in case["told"]}
    assert len(in_source) > 40
    assert in_source <= in_data | TOLD_ELSEWHERE
