"""Readings kept in the user's cache."""

from datetime import UTC, datetime, timedelta

import pytest

from atlas.faults import OutputError
from atlas.gauges import cache_folder, read_reading, write_reading
from atlas.records import GaugeReading, StageAt

AT = datetime(2026, 11, 25, 16, 0, tzinfo=UTC)
READING = GaugeReading(
    "OT G1", AT, 1.31, 33.0, provisional=True,
    trail=tuple(StageAt(AT - timedelta(hours=hour), 1.31 - hour / 50) for hour in (2, 1, 0)),
)  # fmt: skip


def test_a_reading_comes_back_as_it_was(tmp_path):
    write_reading(tmp_path, READING)
    assert read_reading(tmp_path, "OT G1") == READING
    flow_alone = GaugeReading("OT G1", AT, None, 33.0, provisional=False)
    write_reading(tmp_path, flow_alone)
    assert read_reading(tmp_path, "OT G1") == flow_alone


def test_no_reading_kept(tmp_path):
    assert read_reading(tmp_path, "OT G1") is None


@pytest.mark.parametrize(
    "content",
    ["", "{", "[]", "null", '{"schema": 2}', '{"schema": 1, "gauge": "OT G2", "at": "2026-11-25T16:00:00Z"}',
     '{"schema": 1, "gauge": "OT G1", "at": "yesterday"}', "[" * 100_000],
)  # fmt: skip
def test_what_is_kept_and_cannot_be_read_is_no_reading(tmp_path, content):
    write_reading(tmp_path, READING).write_text(content)
    assert read_reading(tmp_path, "OT G1") is None


def test_a_trail_with_holes_keeps_what_is_sound(tmp_path):
    text = (
        '{"schema": 1, "gauge": "OT G1", "at": "2026-11-25T16:00:00Z", "stage_m": "high", '
        '"trail": [["2026-11-25T15:00:00Z", 1.3], ["soon", 1], [1], "x", ["2026-11-25T14:00:00Z", null]]}'
    )
    write_reading(tmp_path, READING).write_text(text)
    found = read_reading(tmp_path, "OT G1")
    assert found == GaugeReading(
        "OT G1", AT, None, None, provisional=True, trail=(StageAt(AT - timedelta(hours=1), 1.3),)
    )


def test_a_cache_that_cannot_be_written(tmp_path):
    (tmp_path / "readings").write_text("")
    with pytest.raises(OutputError):
        write_reading(tmp_path, READING)


def test_the_cache_is_the_users(monkeypatch, tmp_path):
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    assert cache_folder().name == "reach-atlas"
