"""One gauge refreshed, from a service that gives everything, and from ones that do not."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from atlas.gauges.refresh import refresh_gauge
from atlas.records import FloodCategory, GaugeName, GaugeServices

FT, CFS = 0.3048, 0.028316846592  # exact: NIST SP 811 (value from memory)
NOW = datetime(2026, 11, 25, 15, 30, tzinfo=UTC)
GAUGE = GaugeName("OT G1", "XYZ-01", "ABCD1")
FLOOD = {
    "lid": "ABCD1",
    "flood": {
        "stageUnits": "ft",
        "flowUnits": "cfs",
        "categories": {"action": {"stage": 9.5, "flow": -9999}},
    },
}


@pytest.fixture
def serving(hostile, stations):
    """The hostile server, giving everything of the invented station."""
    for name, features in stations.collections().items():
        hostile.says(f"/ogc/collections/{name}/items", {"type": "FeatureCollection", "features": features})
    hostile.says("/flood/gauges/ABCD1", FLOOD)
    return hostile


@pytest.fixture
def refresh(serving, client_of):
    services = GaugeServices(features_url=f"{serving.url}/ogc", flood_url=f"{serving.url}/flood")

    def ask(gauge=GAUGE, kept=None, **changes):
        return refresh_gauge(client_of(tries=1), replace(services, **changes), gauge, now=NOW, kept=kept)

    return ask


def test_everything_a_gauge_has(refresh):
    found = refresh()
    assert found.failures == ()
    record = found.record
    assert (record.name, record.station) == ("OT G1", "OTTER FICTIONAL AT NARROWS")
    assert record.datum == "North American Vertical Datum of 1988"
    assert record.refreshed == date(2026, 11, 25)
    assert len(record.measurements) == 11
    first = record.measurements[0]
    assert (first.day, first.stage_m, first.width_m) == (
        date(2019, 4, 2),
        pytest.approx(3.1 * FT),
        pytest.approx(81 * FT),
    )
    assert [(one.category, one.stage_m) for one in record.flood] == [
        (FloodCategory.ACTION, pytest.approx(9.5 * FT))
    ]
    assert (record.daily.first, record.daily.flows_m3_s[-1]) == (date(2026, 11, 1), pytest.approx(124 * CFS))
    reading = found.reading
    assert (reading.stage_m, reading.discharge_m3_s) == (pytest.approx(3.9 * FT), pytest.approx(196 * CFS))
    assert reading.at == datetime(2026, 11, 25, 15, 15, tzinfo=UTC)
    assert len(reading.trail) == 11
    # rows of the other station are in four of the collections
    assert found.left_out == ("4 left out: of another station (XYZ-02)",)


def test_what_is_asked(serving, refresh):
    refresh()
    asked = {path.partition("?")[0].split("/")[-2]: path for path in serving.asked if "collections" in path}
    assert set(asked) == {
        "monitoring-locations", "channel-measurements", "field-measurements", "latest-continuous",
        "continuous", "daily",
    }  # fmt: skip
    assert "&id=XYZ-01&" in asked["monitoring-locations"]
    assert "datetime=2006-01-01%2F.." in asked["daily"]
    assert "datetime=2026-11-24T00%3A00%3A00Z%2F.." in asked["continuous"]
    assert all(
        "monitoring_location_id=XYZ-01" in path
        for name, path in asked.items()
        if name != "monitoring-locations"
    )


def test_asked_again_at_once_nothing_is_asked(serving, refresh):
    first = refresh()
    count = len(serving.asked)
    assert refresh() == first
    assert len(serving.asked) == count


def test_without_daily_flows_and_flood_categories(serving, refresh):
    found = refresh(replace(GAUGE, flood=None), daily_years=0)
    assert (found.failures, found.record.daily, found.record.flood) == ((), None, ())
    assert not any("daily" in path or "flood" in path for path in serving.asked)


def test_parts_that_cannot_be_had_stay_as_they_are_kept(serving, refresh):
    kept = refresh().record
    serving.says("/flood/gauges/EFGH2", 500)
    found = refresh(replace(GAUGE, flood="EFGH2"), kept)
    assert found.record == kept
    assert found.failures == ("127.0.0.1/flood/gauges/EFGH2: answered with status 500",)


def test_an_empty_answer_does_not_wipe_out_what_is_kept(serving, refresh, stations):
    kept = refresh().record
    one = stations.feature("XYZ-09", monitoring_location_name="N", vertical_datum=None)
    serving.says(
        "/ogc/collections/monitoring-locations/items", {"type": "FeatureCollection", "features": [one]}
    )
    serving.says("/ogc/collections/channel-measurements/items", {"type": "FeatureCollection", "features": []})
    found = refresh(replace(GAUGE, location="XYZ-09"), kept)
    assert found.record.measurements == kept.measurements
    assert "the service gave no measurement: those that are kept stay" in found.failures


@pytest.mark.parametrize("missing", ["monitoring-locations", "channel-measurements", "field-measurements"])
def test_without_measurements_there_is_no_record_but_a_reading(serving, refresh, missing):
    serving.says(f"/ogc/collections/{missing}/items", 404)
    found = refresh()
    assert found.record is None
    assert found.failures == (f"127.0.0.1/ogc/collections/{missing}/items: answered with status 404",)
    assert found.reading is not None


def test_a_station_the_service_does_not_have(refresh):
    found = refresh(replace(GAUGE, location="XYZ-77"))
    assert (found.record, found.reading) == (None, None)
    assert found.failures == ("the service of measurements has no station XYZ-77",)


def test_services_that_are_not_configured(refresh):
    found = refresh(features_url=None)
    assert (found.record, found.reading) == (None, None)
    told = "no service of measurements is configured: county.toml, [gauges], features"
    assert found.failures == (told, told)
    assert refresh(flood_url=None).failures == (
        "no service of flood categories is configured: county.toml, [gauges], flood",
    )


def test_a_trail_that_cannot_be_had_leaves_the_reading(serving, refresh):
    serving.says("/ogc/collections/continuous/items", b"<html>")
    found = refresh()
    assert [one.at for one in found.reading.trail] == [found.reading.at]
    assert found.failures == (
        "127.0.0.1/ogc/collections/continuous/items: answered with something that is not JSON",
    )


def test_old_answers_are_told(serving, refresh, monkeypatch, caplog):
    caplog.set_level("ERROR", "requests_cache")
    first = refresh()
    monkeypatch.setattr("atlas.gauges.refresh._READINGS_KEPT", timedelta(milliseconds=1))
    for name in ("latest-continuous", "continuous"):
        serving.says(f"/ogc/collections/{name}/items", 503)
    found = refresh()
    assert found.reading == first.reading
    today = datetime.now(UTC).date().isoformat()
    assert found.stale == (f"latest-continuous of {today}", f"continuous of {today}")
