"""The client against a real OGC API - Features server, on loopback, over real and invented features."""

import importlib.util
import json
import os
import socket
import subprocess
import sys
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path
from urllib.request import urlopen

import pytest

from atlas.faults import ServiceFailed
from atlas.gauges.answers import Patience
from atlas.gauges.client import Client
from atlas.gauges.features import all_items
from atlas.gauges.measurements import own_properties, read_measurements
from atlas.gauges.numbers import LeftOut
from atlas.gauges.readings import read_daily, read_latest
from atlas.gauges.refresh import refresh_gauge
from atlas.records import GaugeName, GaugeServices

DATA = Path(__file__).parents[3] / "shared" / "data" / "usgs_ogcapi_v1_fixtures.json"
FT, CFS = 0.3048, 0.028316846592  # exact: NIST SP 811 (value from memory)
KEEP = timedelta(hours=1)


def configuration(port, files):
    """A service of one collection a file, two features a page unless asked otherwise."""
    extents = {
        "spatial": {"bbox": [-180, -90, 180, 90], "crs": "http://www.opengis.net/def/crs/OGC/1.3/CRS84"}
    }
    about = {"title": "t", "description": "d", "keywords": ["k"], "links": [], "extents": extents}
    plain = {"name": "n", "url": "u"}
    return {
        "server": {
            "bind": {"host": "127.0.0.1", "port": port}, "url": f"http://127.0.0.1:{port}",
            "mimetype": "application/json", "encoding": "utf-8", "languages": ["en-US"],
            "limits": {"default_items": 2, "max_items": 4}, "map": {"url": "", "attribution": ""},
        },
        "logging": {"level": "ERROR"},
        "metadata": {
            "identification": {"title": "t", "description": "d", "keywords": ["k"], "keywords_type": "theme",
                               "terms_of_service": "t", "url": "http://127.0.0.1"},
            "license": plain, "provider": plain, "contact": {"name": "n"},
        },
        "resources": {
            path.stem: about | {
                "type": "collection",
                "providers": [{"type": "feature", "name": "GeoJSON", "data": str(path), "id_field": "id"}],
            }
            for path in files
        },
    }  # fmt: skip


def features_of(stations):
    """Invented features, and the real ones where they are."""
    found = stations.collections()
    if DATA.exists():
        for name, one in json.loads(DATA.read_text(encoding="utf-8")).items():
            if name in found:
                found[name] = found[name] + one["features"]
    return found


def waited_for(url, process, seconds=120.0):
    end = time.monotonic() + seconds
    while time.monotonic() < end and process.poll() is None:
        try:
            with urlopen(f"{url}/conformance?f=json", timeout=2) as answer:  # noqa: S310 -- loopback
                return json.load(answer)
        except OSError:
            time.sleep(0.1)
    raise AssertionError(f"the server did not start: {process.stderr.read().decode()[-2000:]}")


@pytest.fixture(scope="module")
def service(tmp_path_factory, stations):
    """Base URL of a running server."""
    if importlib.util.find_spec("pygeoapi") is None:
        pytest.skip("no OGC API - Features server is installed: extra test-ogc")
    folder = tmp_path_factory.mktemp("ogc")
    for name, features in features_of(stations).items():
        collection = {"type": "FeatureCollection", "features": features}
        (folder / f"{name}.geojson").write_text(json.dumps(collection), encoding="utf-8")
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    config, openapi = folder / "config.yml", folder / "openapi.yml"
    config.write_text(json.dumps(configuration(port, sorted(folder.glob("*.geojson")))), encoding="utf-8")
    environment = os.environ | {
        "PYGEOAPI_CONFIG": str(config), "PYGEOAPI_OPENAPI": str(openapi), "NO_PROXY": "127.0.0.1",
    }  # fmt: skip
    command = [str(Path(sys.executable).with_name("pygeoapi"))]
    subprocess.run(
        [*command, "openapi", "generate", str(config), "--output-file", str(openapi)],
        env=environment, check=True, capture_output=True, timeout=180,
    )  # fmt: skip
    process = subprocess.Popen(
        [*command, "serve", "--flask"], env=environment, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE
    )
    try:
        url = f"http://127.0.0.1:{port}"
        conformance = waited_for(url, process)
        assert "http://www.opengis.net/spec/ogcapi-features-1/1.0/conf/core" in conformance["conformsTo"]
        yield url
    finally:
        process.terminate()
        process.communicate(timeout=20)


@pytest.fixture
def client(service, tmp_path, monkeypatch):
    monkeypatch.setenv("NO_PROXY", "127.0.0.1")
    with Client(GaugeServices(features_url=service), tmp_path, Patience(tries=2)) as made:
        yield made


def test_a_gauge_is_refreshed_over_many_pages(service, client, stations):
    # four features a page at most: eleven visits are three pages, with next links of the server's own making
    services = GaugeServices(features_url=service)
    now = datetime(2026, 11, 25, 15, 30, tzinfo=UTC)
    found = refresh_gauge(client, services, GaugeName("OT G1", stations.LOCATION), now=now)
    assert found.failures == ()
    assert [one.stage_m for one in found.record.measurements] == pytest.approx(
        [float(visit[2]) * FT for visit in stations.RIVER["visits"]]
    )
    assert [one.discharge_m3_s for one in found.record.measurements] == pytest.approx(
        [float(visit[3]) * CFS for visit in stations.RIVER["visits"]]
    )
    assert found.record.station == stations.RIVER["name"]
    assert found.reading.stage_m == pytest.approx(3.90 * FT)
    assert len(found.reading.trail) == 11
    assert len(found.record.daily.flows_m3_s) == 24


def rows(client, service, collection, location):
    items = all_items(client, service, collection, {"monitoring_location_id": location}, keep=KEEP)
    return own_properties(items.features, location, LeftOut())


@pytest.mark.usefixtures("real")
def test_real_measurements(service, client):
    # U.S. Geological Survey, station 05427718 (public domain)
    left_out = LeftOut()
    found = read_measurements(
        rows(client, service, "channel-measurements", "USGS-05427718"),
        rows(client, service, "field-measurements", "USGS-05427718"),
        left_out,
    )
    assert left_out.told() == ()
    assert [one.discharge_m3_s for one in found] == pytest.approx([21.3 * CFS, 10.6 * CFS])


@pytest.mark.usefixtures("real")
def test_real_readings(service, client):
    # U.S. Geological Survey, station 06904500 (public domain)
    left_out = LeftOut()
    found = read_latest(
        "G",
        rows(client, service, "latest-continuous", "USGS-06904500"),
        rows(client, service, "continuous", "USGS-06904500"),
        left_out,
        now=datetime(2026, 8, 7, 19, 0, tzinfo=UTC),
    )
    assert left_out.told() == ()
    assert (found.stage_m, found.discharge_m3_s) == pytest.approx((1.59 * FT, 535 * CFS))


@pytest.mark.usefixtures("real")
def test_real_daily_flows(service, client):
    # U.S. Geological Survey, station 05427718 (public domain)
    found = read_daily(
        rows(client, service, "daily", "USGS-05427718"),
        LeftOut(),
        today=datetime(2026, 8, 7, tzinfo=UTC).date(),
    )
    assert [flow for flow in found.flows_m3_s if flow is not None] == pytest.approx([20.2 * CFS, 27.1 * CFS])


def test_a_collection_the_server_does_not_have(service, client):
    with pytest.raises(ServiceFailed) as raised:
        all_items(client, service, "unicorns", {}, keep=KEEP)
    assert str(raised.value) == "127.0.0.1/collections/unicorns/items: answered with status 404"
