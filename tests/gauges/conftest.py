"""A small hostile server on loopback, a client that does not wait, and real features where they are."""

import importlib.util
import json
import threading
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import pytest

from atlas.gauges.answers import Patience
from atlas.gauges.client import Client
from atlas.records import GaugeServices

DATA = Path(__file__).parents[3] / "shared" / "data"


class Hostile:
    """A server that answers as told: a list of answers a path, the last for ever.

    Attributes
    ----------
    asked : paths with their queries, as they came
    agents : user agents
    """

    def __init__(self):
        self.answers = {}
        self.asked = []
        self.agents = []
        self.server = ThreadingHTTPServer(("127.0.0.1", 0), self._handler())
        self.server.daemon_threads = True
        threading.Thread(target=self.server.serve_forever, args=(0.01,), daemon=True).start()

    @property
    def url(self):
        return f"http://127.0.0.1:{self.server.server_port}"

    def close(self):
        self.server.shutdown()
        self.server.server_close()

    def says(self, path, *answers):
        """An answer is a status, an object (sent as JSON), bytes, or a function of the handler."""
        self.answers[path] = list(answers)

    def _handler(self):
        hostile = self

        class Handler(BaseHTTPRequestHandler):
            protocol_version = "HTTP/1.1"

            def do_GET(self):
                hostile.asked.append(self.path)
                hostile.agents.append(self.headers["User-Agent"])
                path = self.path.partition("?")[0]
                answers = hostile.answers.get(path) or [404]
                answer = answers.pop(0) if len(answers) > 1 else answers[0]
                if callable(answer):
                    answer(self)
                elif isinstance(answer, int):
                    self.reply(answer, b"{}")
                else:
                    self.reply(200, answer if isinstance(answer, bytes) else json.dumps(answer).encode())

            def reply(self, status, body, **headers):
                self.send_response(status)
                self.send_header("Content-Length", str(len(body)))
                for name, value in headers.items():
                    self.send_header(name.replace("_", "-"), value)
                self.end_headers()
                self.wfile.write(body)

            def log_message(self, *_):
                pass

        return Handler


@pytest.fixture
def hostile(monkeypatch):
    monkeypatch.setenv("NO_PROXY", "127.0.0.1")
    server = Hostile()
    yield server
    server.close()


class Waits(list):
    """How long was slept, without sleeping."""

    def __call__(self, seconds):
        self.append(seconds)


@pytest.fixture
def waits():
    return Waits()


@pytest.fixture
def client_of(tmp_path, hostile, waits):
    """Make clients of the hostile server that share one cache; all are closed with the test."""
    made = []

    def make(*, online=True, **patience):
        services = GaugeServices(
            online=online, features_url=f"{hostile.url}/ogc", flood_url=f"{hostile.url}/flood"
        )
        quick = {"silence_s": 0.4, "answer_s": 0.8, "tries": 3, "sleep": waits} | patience
        client = Client(services, tmp_path / "cache", Patience(**quick))
        made.append(client)
        return client

    yield make
    for client in made:
        client.close()


@pytest.fixture(scope="session")
def real():
    """Properties of real features by collection."""
    path = DATA / "usgs_ogcapi_v1_fixtures.json"
    if not path.exists():
        pytest.skip("the public features of the water data service are not beside this checkout")
    found = json.loads(path.read_text(encoding="utf-8"))
    return {name: [feature["properties"] for feature in one["features"]] for name, one in found.items()}


@pytest.fixture(scope="session")
def real_flood():
    path = DATA / "noaa_nwps_gauge_trvn7_excerpt.json"
    if not path.exists():
        pytest.skip("the public flood categories of one gauge are not beside this checkout")
    return json.loads(path.read_text(encoding="utf-8"))


@pytest.fixture(scope="session")
def stations():
    """The invented station beside these tests: no package, so loaded by its path."""
    path = Path(__file__).parent / "stations.py"
    spec = importlib.util.spec_from_file_location("stations", path)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module
