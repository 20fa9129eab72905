"""`gauges`: what is asked and kept, and what every other command does without a network."""

import json
import threading
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer

import pytest

from atlas.gauges.answers import Patience

STATION = {"id": "XYZ-1", "monitoring_location_name": "MADE UP", "vertical_datum": "NAVD88"}
CHANNEL = {
    "monitoring_location_id": "XYZ-1", "field_visit_id": "v1", "time": "2024-05-01",
    "channel_flow": "1150", "channel_flow_unit": "ft^3/s", "channel_width": "102", "channel_width_unit": "ft",
    "channel_area": "350", "channel_area_unit": "ft^2", "channel_velocity": "3.29",
    "channel_velocity_unit": "ft/s",
}  # fmt: skip
HEIGHT = {
    "monitoring_location_id": "XYZ-1", "field_visit_id": "v1", "parameter_code": "00065", "value": "4.10",
    "unit_of_measure": "ft",
}  # fmt: skip
LATEST = {
    "monitoring_location_id": "XYZ-1", "parameter_code": "00065", "value": "5.25", "unit_of_measure": "ft",
    "time": "2026-01-05T12:00:00Z", "qualifier": None, "approval_status": "Provisional",
}  # fmt: skip
ROWS = {
    "monitoring-locations": [STATION],
    "channel-measurements": [CHANNEL],
    "field-measurements": [HEIGHT],
    "latest-continuous": [LATEST, LATEST | {"monitoring_location_id": "XYZ-2"}],
}


class Service(ThreadingHTTPServer):
    """A service of features on loopback; `asked` holds what came."""

    daemon_threads = True

    def __init__(self):
        self.asked = []
        super().__init__(("127.0.0.1", 0), Answering)
        threading.Thread(target=self.serve_forever, args=(0.01,), daemon=True).start()


class Answering(BaseHTTPRequestHandler):
    def do_GET(self):
        self.server.asked.append(self.path)
        rows = ROWS.get(self.path.split("/")[2], [])
        answer = {"type": "FeatureCollection", "features": [{"properties": row} for row in rows]}
        self.send_response(200)
        self.end_headers()
        self.wfile.write(json.dumps(answer).encode())

    def log_message(self, *_):
        pass


@pytest.fixture
def service(monkeypatch):
    monkeypatch.setenv("NO_PROXY", "127.0.0.1")
    made = Service()
    yield made
    made.shutdown()
    made.server_close()


@pytest.fixture
def gauged(flats, ground, monkeypatch, service):
    """The small county: one of its sites names a gauge, and county.toml says where to ask for it."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(ground.folder / "user"))
    (survey,) = sorted((ground.folder / flats / "surveys").glob("*.geojson"))[:1]
    content = json.loads(survey.read_text(encoding="utf-8"))
    access = next(one for one in content["features"] if one["properties"]["role"] == "access")
    access["properties"]["gauge"] = "OT G1"
    survey.write_text(json.dumps(content), encoding="utf-8")
    file = ground.folder / flats / "county.toml"
    address = f"http://127.0.0.1:{service.server_port}"
    file.write_text(
        file.read_text(encoding="utf-8")
        + f'\n[gauges]\nfeatures = "{address}"\n\n[[gauges.gauge]]\nname = "OT G1"\nlocation = "XYZ-1"\n',
        encoding="utf-8",
    )
    return flats


def test_measurements_go_to_the_county_and_readings_to_the_cache(cli, gauged, ground):
    ran = cli("gauges", "--county", gauged)
    assert ran.code == 0, ran.err
    kept = gauged / "gauges" / "ot-g1.json"
    assert ran.lines[0] == f"OT G1: 1 measurement, {kept}"
    assert ran.lines[1].startswith("OT G1: stage 5.3 ft, ")
    assert ran.lines[1].endswith("days old, provisional")
    assert "OT G1: 1 left out: of another station (XYZ-2)" in ran.err
    assert json.loads(kept.read_text())["measurements"][0]["stage_m"] == pytest.approx(4.1 * 0.3048)
    assert (ground.folder / "user" / "reach-atlas" / "readings" / "ot-g1.json").is_file()
    # what is kept is read by the others
    assert cli("check", "--county", gauged).code == 0


def test_switched_off_what_is_kept_is_shown_and_nothing_asked(cli, gauged, ground, service):
    cli("gauges", "--county", gauged)
    count = len(service.asked)
    file = ground.folder / gauged / "county.toml"
    file.write_text(file.read_text().replace("[gauges]\n", "[gauges]\nonline = false\n"))
    ran = cli("gauges", "--county", gauged)
    assert ran.code == 0
    assert ran.err == "asking is switched off in county.toml, [gauges]: this is what is kept\n"
    assert ran.lines[0].startswith("OT G1: stage 5.3 ft, ")
    assert len(service.asked) == count


def test_a_service_that_is_gone_is_exit_3_and_everything_else_still_works(cli, gauged, service, monkeypatch):
    monkeypatch.setattr("atlas.gauges.client.Patience", lambda: Patience(tries=1))
    service.shutdown()
    service.server_close()
    ran = cli("gauges", "--county", gauged)
    assert ran.code == 3
    assert "could not be reached or broke off" in ran.err
    assert not (gauged / "gauges").exists()
    assert cli("check", "--county", gauged).code == 0


def test_a_gauge_that_county_toml_does_not_know(cli, gauged, ground):
    file = ground.folder / gauged / "county.toml"
    file.write_text(file.read_text().replace('name = "OT G1"', 'name = "OT G9"'))
    ran = cli("gauges", "--county", gauged)
    assert (ran.code, ran.out) == (0, "")
    assert ran.err == "OT G1: surveys name this gauge; county.toml does not say where to ask for it\n"


def test_a_county_without_gauges(cli, flats):
    ran = cli("gauges", "--county", flats)
    assert (ran.code, ran.out) == (0, "county.toml has no [gauges]: there is nothing to ask\n")


def test_a_spoiled_file_of_a_gauge_is_told_and_the_rest_is_made(cli, gauged, ground):
    folder = ground.folder / gauged / "gauges"
    folder.mkdir()
    (folder / "ot-g1.json").write_text("{")
    ran = cli("check", "--county", gauged)
    assert ran.code == 3
    assert ran.lines[0] == (
        f"{gauged}/gauges/ot-g1.json: the file is not JSON, or is cut off; "
        "fetch it again with reach-atlas gauges, or delete the file"
    )
