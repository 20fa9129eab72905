"""Collections page by page, from a server that lies about them."""

from datetime import timedelta

import pytest

from atlas.faults import ServiceFailed
from atlas.gauges.features import all_items

KEEP = timedelta(hours=1)
ITEMS = "/ogc/collections/daily/items"


def page(*numbers, **more):
    features = [{"type": "Feature", "properties": {"n": number}} for number in numbers]
    return {"type": "FeatureCollection", "features": features} | more


def following(url):
    return {"links": [{"rel": "self", "href": "/ogc"}, {"rel": "next", "href": url}]}


def ask(hostile, client):
    found = all_items(client, f"{hostile.url}/ogc", "daily", {"id": "XYZ-1"}, keep=KEEP)
    return [feature["properties"]["n"] for feature in found.features]


def test_pages_are_followed_to_the_last(hostile, client_of):
    hostile.says(
        ITEMS,
        page(1, 2, **following(f"{hostile.url}{ITEMS}?offset=2")),
        page(3, **following("?offset=3")),
        page(4),
    )
    assert ask(hostile, client_of()) == [1, 2, 3, 4]
    assert hostile.asked == [f"{ITEMS}?f=json&id=XYZ-1", f"{ITEMS}?offset=2", f"{ITEMS}?offset=3"]


def test_what_is_no_feature_is_passed_over(hostile, client_of):
    answer = page(1)
    answer["features"] += ["x", None, 3]
    hostile.says(ITEMS, answer)
    assert ask(hostile, client_of()) == [1]


@pytest.mark.parametrize(
    ("answer", "told"),
    [
        ({"type": "FeatureCollection"}, "answered with something else than a feature collection"),
        ({"type": "Feature", "features": []}, "answered with something else than a feature collection"),
        ({"code": "NotFound", "description": "no"}, "answered with something else than a feature collection"),
        (
            page(1, **following("http://elsewhere.example/x")),
            "its next page lies elsewhere, and was not asked for",
        ),
        (page(1, **following("/flood/gauges/1")), "its next page lies elsewhere, and was not asked for"),
        (page(1, **following("?offset=0")), "its pages never end"),
    ],
)
def test_a_collection_that_lies(hostile, client_of, answer, told):
    hostile.says(ITEMS, answer)
    with pytest.raises(ServiceFailed) as raised:
        ask(hostile, client_of())
    assert str(raised.value) == f"127.0.0.1{ITEMS}: {told}"


@pytest.mark.parametrize("links", [None, "next", [None, "x", {"rel": "last", "href": "?offset=9"}]])
def test_links_that_lead_nowhere(hostile, client_of, links):
    hostile.says(ITEMS, page(1, links=links))
    assert ask(hostile, client_of()) == [1]
