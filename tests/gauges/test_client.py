"""The one client against a server that does everything a server may do."""

import gzip
import json
import time
from datetime import UTC, datetime, timedelta

import pytest

from atlas.faults import OutputError, ServiceFailed
from atlas.gauges.answers import Patience
from atlas.gauges.client import Client
from atlas.records import GaugeServices

NOW, NEVER = timedelta(milliseconds=1), timedelta(days=3)
GOOD = {"stage": 1}


@pytest.fixture(autouse=True)
def quiet(caplog):
    """The cache's library tells of each failure it covers for; the command tells it in our words."""
    caplog.set_level("ERROR", "requests_cache")


def failure(client, url, keep=NOW):
    with pytest.raises(ServiceFailed) as raised:
        client.ask(url, keep=keep)
    return str(raised.value)


def test_an_answer_and_who_asked_for_it(hostile, client_of):
    hostile.says("/ogc", GOOD)
    before = datetime.now(UTC)
    answer = client_of().ask(f"{hostile.url}/ogc", {"f": "json", "id": "A B"}, keep=NEVER)
    assert (answer.content, answer.stale) == (GOOD, False)
    assert before - timedelta(seconds=1) <= answer.fetched <= datetime.now(UTC)
    assert hostile.asked == ["/ogc?f=json&id=A+B"]
    assert hostile.agents[0].startswith("reach-atlas/")


def test_a_fresh_answer_is_not_asked_for_again_even_by_another_run(hostile, client_of):
    hostile.says("/ogc", GOOD)
    for _ in range(2):
        client_of().ask(f"{hostile.url}/ogc", keep=NEVER)
    assert len(hostile.asked) == 1


@pytest.mark.parametrize("status", [429, 500, 502, 503, 504])
def test_what_may_pass_is_asked_again_after_growing_waits(hostile, client_of, waits, status):
    hostile.says("/ogc", status, status, GOOD)
    assert client_of(back_off_s=0.5).ask(f"{hostile.url}/ogc", keep=NOW).content == GOOD
    assert waits == [0.5, 1.0]


def test_a_wait_the_service_asks_for_is_kept_up_to_a_limit(hostile, client_of, waits):
    hostile.says(
        "/ogc",
        lambda handler: handler.reply(429, b"", Retry_After="7"),
        lambda handler: handler.reply(429, b"", Retry_After="86400"),
        lambda handler: handler.reply(503, b"", Retry_After="Wed, 25 Nov 2026 07:28:00 GMT"),
        GOOD,
    )
    assert (
        client_of(tries=4, back_off_s=0.5, wait_most_s=30.0).ask(f"{hostile.url}/ogc", keep=NOW).content
        == GOOD
    )
    assert waits == [7.0, 30.0, 2.0]


def test_a_service_that_never_recovers(hostile, client_of):
    hostile.says("/ogc", 503)
    assert failure(client_of(), f"{hostile.url}/ogc") == "127.0.0.1/ogc: answered with status 503"
    assert len(hostile.asked) == 3


def test_a_service_waited_for_in_vain_is_not_waited_for_again_until_it_answers(hostile, client_of, waits):
    hostile.says("/ogc", 503, 503, 503, 503, GOOD, 503, GOOD)
    client, url = client_of(), f"{hostile.url}/ogc"
    failure(client, url)
    assert (len(hostile.asked), len(waits)) == (3, 2)
    failure(client, url)
    assert (len(hostile.asked), len(waits)) == (4, 2)
    assert client.ask(url, keep=NOW).content == GOOD
    assert client.ask(url, {"again": "1"}, keep=NOW).content == GOOD
    assert (len(hostile.asked), len(waits)) == (7, 3)


@pytest.mark.parametrize("status", [400, 401, 403, 404, 410, 204])
def test_what_will_not_pass_is_asked_once(hostile, client_of, waits, status):
    hostile.says("/ogc", status)
    assert failure(client_of(), f"{hostile.url}/ogc") == f"127.0.0.1/ogc: answered with status {status}"
    assert (len(hostile.asked), waits) == (1, [])


def drip(handler):
    """A byte every tenth of a second: under every silence that is borne, and never done."""
    handler.send_response(200)
    handler.send_header("Content-Length", "100000")
    handler.end_headers()
    try:
        for _ in range(60):
            handler.wfile.write(b" ")
            handler.wfile.flush()
            time.sleep(0.1)
    except OSError:  # the client went away: that is what is hoped for
        handler.close_connection = True


def dripped_head(handler):
    """A byte of its head every tenth of a second."""
    handler.wfile.write(b"HTTP/1.1 200 OK\r\nX-Long: ")
    try:
        for _ in range(40):
            handler.wfile.write(b"x")
            handler.wfile.flush()
            time.sleep(0.1)
    except OSError:
        pass
    handler.close_connection = True


def silent(handler):
    time.sleep(0.7)
    handler.close_connection = True


@pytest.mark.parametrize(
    "answer", [drip, dripped_head, silent], ids=["a byte at a time", "its head so", "nothing at all"]
)
def test_a_slow_service_is_not_waited_for(hostile, client_of, answer):
    hostile.says("/ogc", answer)
    begun = time.monotonic()
    text = failure(client_of(tries=2, answer_s=0.5, silence_s=0.3), f"{hostile.url}/ogc")
    assert text == "127.0.0.1/ogc: did not answer in time"
    # two tries of half a second each, and room for a slow machine
    assert time.monotonic() - begun < 4.0


def cut(handler):
    handler.send_response(200)
    handler.send_header("Content-Length", "5000")
    handler.end_headers()
    handler.wfile.write(b'{"stage": 1')
    handler.close_connection = True


def hung_up(handler):
    handler.close_connection = True


@pytest.mark.parametrize(
    ("answer", "kind"), [(cut, "IncompleteRead"), (hung_up, "RemoteDisconnected")], ids=["cut", "hung up"]
)
def test_an_answer_that_breaks_off(hostile, client_of, answer, kind):
    hostile.says("/ogc", answer)
    text = failure(client_of(), f"{hostile.url}/ogc")
    assert text.startswith("127.0.0.1/ogc: ")
    assert text.endswith(f"broke off ({kind})")
    assert len(hostile.asked) == 3


def test_a_broken_answer_is_asked_again(hostile, client_of):
    hostile.says("/ogc", cut, hung_up, GOOD)
    assert client_of().ask(f"{hostile.url}/ogc", keep=NOW).content == GOOD


def huge(handler):
    handler.reply(200, json.dumps({"a": "x" * 3000}).encode())


def bomb(handler):
    """Small on the line, large when unpacked."""
    handler.reply(200, gzip.compress(json.dumps({"a": "x" * 3000}).encode()), Content_Encoding="gzip")


@pytest.mark.parametrize("answer", [huge, bomb], ids=["large", "large when unpacked"])
def test_an_answer_that_is_too_large(hostile, client_of, answer):
    hostile.says("/ogc", answer)
    text = failure(client_of(largest_bytes=2000), f"{hostile.url}/ogc")
    assert text == "127.0.0.1/ogc: answered with more than 2000 bytes"
    assert len(hostile.asked) == 1


def test_the_limit_is_20_mb_unless_said_otherwise():
    assert Patience().largest_bytes == 20_000_000


def test_a_packed_answer_is_unpacked_and_kept_so(hostile, client_of):
    hostile.says(
        "/ogc", lambda handler: handler.reply(200, gzip.compress(b'{"stage": 1}'), Content_Encoding="gzip")
    )
    for _ in range(2):
        assert client_of().ask(f"{hostile.url}/ogc", keep=NEVER).content == GOOD
    assert len(hostile.asked) == 1


LIES = {
    "HTML": b"<html>Down for maintenance</html>",
    "nothing": b"",
    "a list": b"[1, 2]",
    "a number that is none": b'{"stage": NaN}',
    "cut JSON": b'{"stage": [1, 2',
    "not UTF-8": b'{"stage": "\xff\xfe"}',
    "nested beyond reading": b'{"a":' + b"[" * 100_000,
}


@pytest.mark.parametrize("lie", LIES, ids=LIES)
def test_an_answer_that_is_none(hostile, client_of, lie):
    hostile.says("/ogc", LIES[lie])
    kind = "JSON that is no object" if lie == "a list" else "something that is not JSON"
    assert failure(client_of(), f"{hostile.url}/ogc") == f"127.0.0.1/ogc: answered with {kind}"


@pytest.mark.parametrize("later", [503, 404, b"<html>", cut, drip], ids=["503", "404", "HTML", "cut", "slow"])
def test_yesterdays_answer_stands_whatever_fails_today(hostile, client_of, later):
    hostile.says("/ogc", GOOD, later)
    url = f"{hostile.url}/ogc"
    first = client_of().ask(url, keep=NOW)
    again = client_of(tries=1, answer_s=0.3).ask(url, keep=NOW)
    assert (again.content, again.stale) == (GOOD, True)
    assert again.fetched <= first.fetched
    # and the next day too
    assert client_of(tries=1, answer_s=0.3).ask(url, keep=NOW).content == GOOD


def test_without_network_yesterdays_answer_stands(hostile, client_of):
    hostile.says("/ogc", GOOD)
    client_of().ask(f"{hostile.url}/ogc", keep=NOW)
    hostile.close()
    answer = client_of(tries=1).ask(f"{hostile.url}/ogc", keep=NOW)
    assert (answer.content, answer.stale) == (GOOD, True)


def test_switched_off_nothing_is_asked_and_what_is_kept_is_given(hostile, client_of):
    hostile.says("/ogc", GOOD)
    url = f"{hostile.url}/ogc"
    assert failure(client_of(online=False), url) == (
        "127.0.0.1/ogc: asking is switched off in county.toml, and nothing is kept"
    )
    assert hostile.asked == []
    client_of().ask(url, keep=NOW)
    answer = client_of(online=False).ask(url, keep=NOW)
    assert (answer.content, answer.stale) == (GOOD, True)
    assert len(hostile.asked) == 1


@pytest.mark.parametrize(
    "url",
    [
        "http://elsewhere.example/ogc",
        "https://127.0.0.1/ogc",
        "http://localhost:1/ogc",
        "ftp://127.0.0.1/ogc",
        "file:///etc/hostname",
        "http://127.0.0.1:99999/ogc",
    ],
)
def test_no_other_host_is_asked(client_of, url):
    assert "not a configured service" in failure(client_of(), url) or "an address that" in failure(
        client_of(), url
    )


def to(url):
    return lambda handler: handler.reply(302, b"", Location=url)


def test_a_redirect_within_the_service_is_followed(hostile, client_of):
    hostile.says("/ogc", to("/ogc/here"))
    hostile.says("/ogc/here", GOOD)
    assert client_of().ask(f"{hostile.url}/ogc", keep=NOW).content == GOOD


@pytest.mark.parametrize(
    ("target", "told"),
    [
        (
            "http://elsewhere.example/ogc",
            "led to elsewhere.example, which is not configured, or not in this way",
        ),
        ("//elsewhere.example/ogc", "led to elsewhere.example, which is not configured, or not in this way"),
        ("https://127.0.0.1/ogc", "led to 127.0.0.1, which is not configured, or not in this way"),
        ("http://127.0.0.1:1/ogc", "led to 127.0.0.1, which is not configured, or not in this way"),
        ("file:///etc/hostname", "an address that is not http or https"),
        ("/ogc", "redirected more than 3 times"),
    ],
)
def test_a_redirect_elsewhere_is_refused(hostile, client_of, target, told):
    hostile.says("/ogc", to(target))
    assert failure(client_of(), f"{hostile.url}/ogc") == f"127.0.0.1/ogc: {told}"


def test_a_foreign_redirect_does_not_reach_the_other_server(hostile, client_of):
    other = type(hostile)()
    try:
        other.says("/secret", GOOD)
        hostile.says("/ogc", to(f"{other.url}/secret"))
        failure(client_of(), f"{hostile.url}/ogc")
        assert other.asked == []
    finally:
        other.close()


def test_a_cache_that_is_no_cache(tmp_path):
    folder = tmp_path / "cache"
    folder.mkdir()
    (folder / "answers.sqlite").write_bytes(b"not a database at all" * 500)
    services = GaugeServices(features_url="http://127.0.0.1:9/ogc")
    with pytest.raises(OutputError) as raised, Client(services, folder) as client:
        client.ask("http://127.0.0.1:9/ogc", keep=NOW)
    assert str(raised.value) == (
        f"{folder / 'answers.sqlite'}: the cache cannot be used (file is not a database); delete that file"
    )


def test_a_cache_folder_that_is_a_file(tmp_path):
    (tmp_path / "cache").write_text("")
    with pytest.raises(OutputError):
        Client(GaugeServices(), tmp_path / "cache")


def test_the_cache_runs_nothing_that_is_in_it(hostile, client_of, tmp_path):
    hostile.says("/ogc", GOOD)
    client_of().ask(f"{hostile.url}/ogc", keep=NEVER)
    # text of JSON, and nothing of the library's default, which is code to whoever reads it
    kept = (tmp_path / "cache" / "answers.sqlite").read_bytes()
    assert b'"status_code": 200' in kept
    assert b"\x80\x04\x95" not in kept
