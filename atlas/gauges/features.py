"""All features of a collection of an OGC API - Features service, page by page."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any
from urllib.parse import quote, urljoin, urlsplit

from atlas.faults import ServiceFailed
from atlas.gauges.client import Answer, Client

__all__ = ["Items", "all_items"]

_PAGES_MOST = 200
_FEATURES_MOST = 500_000


@dataclass(frozen=True, slots=True)
class Items:
    """Features of one collection.

    Attributes
    ----------
    fetched : the oldest page
    stale : at least one page is an old one
    """

    features: tuple[dict[str, Any], ...]
    fetched: datetime
    stale: bool


def all_items(
    client: Client, base_url: str, collection: str, params: Mapping[str, str], *, keep: timedelta
) -> Items:
    """Every feature of a collection that the query names.

    Parameters
    ----------
    base_url : of the service
    collection : its identifier
    params : of the query

    Raises
    ------
    ServiceFailed
        No answer that can be trusted, an answer that is no feature collection, a next link that leads to
        another place or back to where it came from, or more pages than any gauge has.
    """
    url = f"{base_url}/collections/{quote(collection, safe='')}/items"
    first = {"f": "json", **params}
    answer = client.ask(url, first, keep=keep)
    pages, seen = [answer], {url}
    found = list(_features(answer, url))
    following = _next(answer, url)
    while following is not None:
        if following in seen or len(seen) > _PAGES_MOST or len(found) > _FEATURES_MOST:
            raise ServiceFailed(f"{_shown(url)}: its pages never end")
        seen.add(following)
        answer = client.ask(following, keep=keep)
        pages.append(answer)
        found += _features(answer, url)
        following = _next(answer, url)
    return Items(tuple(found), min(page.fetched for page in pages), stale=any(page.stale for page in pages))


def _shown(url: str) -> str:
    parts = urlsplit(url)
    return f"{parts.hostname}{parts.path}"


def _features(answer: Answer, url: str) -> list[dict[str, Any]]:
    features = answer.content.get("features")
    if answer.content.get("type") != "FeatureCollection" or not isinstance(features, list):
        raise ServiceFailed(f"{_shown(url)}: answered with something else than a feature collection")
    return [feature for feature in features if isinstance(feature, dict)]


def _next(answer: Answer, url: str) -> str | None:
    """Where the next page is; it has to be of the same collection."""
    links = answer.content.get("links")
    for link in links if isinstance(links, list) else []:
        if isinstance(link, dict) and link.get("rel") == "next":
            target = urljoin(url, str(link.get("href")))
            if target.partition("?")[0] != url:
                raise ServiceFailed(f"{_shown(url)}: its next page lies elsewhere, and was not asked for")
            return target
    return None
