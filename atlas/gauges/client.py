"""The one way to services on the network: asked politely, kept, and never trusted beyond what was asked.

Nothing else of the program opens a connection.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import requests
import requests_cache

from atlas import __version__
from atlas.faults import OutputError, ServiceFailed
from atlas.gauges.answers import AnswerRefused, Patience, PatientAdapter, origin_of
from atlas.records import GaugeServices

__all__ = ["Answer", "Client"]

USER_AGENT = f"reach-atlas/{__version__} (river rescue planning: gauge readings and field measurements)"
_FILE = "answers.sqlite"


@dataclass(frozen=True, slots=True)
class Answer:
    """A JSON object, when it was fetched, and whether it is an old one because no new one could be had."""

    content: dict[str, Any]
    fetched: datetime
    stale: bool


class Client:
    """Asks the services a county configured, and no others.

    Parameters
    ----------
    services : of county.toml
    folder : of the user's cache; made where it is not there
    patience : how long and how often is waited

    Raises
    ------
    OutputError
        The cache cannot be opened.
    """

    def __init__(self, services: GaugeServices, folder: Path, patience: Patience | None = None) -> None:
        self._services = services
        self._folder = folder
        configured = [url for url in (services.features_url, services.flood_url) if url]
        self._origins = frozenset(origin_of(url) for url in configured)
        try:
            folder.mkdir(parents=True, exist_ok=True)
            self._session = requests_cache.CachedSession(
                str(folder / _FILE),
                backend="sqlite",
                serializer="json",  # the library's default would run what a foreign file tells it to
                stale_if_error=True,
                allowable_codes=(200,),
                allowable_methods=("GET",),
            )
        except (OSError, sqlite3.Error) as cause:
            raise self._unusable(cause) from None
        self._session.headers["User-Agent"] = USER_AGENT
        self._session.headers["Accept"] = "application/geo+json, application/json"
        adapter = PatientAdapter(self._origins, patience or Patience())
        self._session.mount("https://", adapter)
        self._session.mount("http://", adapter)

    def __enter__(self) -> Client:  # noqa: PYI034 -- there are no kinds of it
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Let go of connections and of the cache."""
        self._session.close()  # type: ignore[no-untyped-call] # the library leaves it untyped

    def ask(self, url: str, params: Mapping[str, str] | None = None, *, keep: timedelta) -> Answer:
        """The JSON object at an address of a configured service.

        Parameters
        ----------
        url : http or https
        params : of the query
        keep : how long an answer is taken from the cache instead

        Raises
        ------
        ServiceFailed
            Asking is switched off, the address is not of a configured service, or no answer that can be
            trusted came and none is kept.
        OutputError
            The cache cannot be used.
        """
        try:
            if origin_of(url) not in self._origins:
                raise AnswerRefused("not a configured service: county.toml, [gauges]")
            response = self._session.get(
                url,
                params=params,
                expire_after=keep,
                allow_redirects=False,
                only_if_cached=not self._services.online,
            )
        except requests.RequestException as cause:
            raise ServiceFailed(f"{_shown(url)}: {cause}") from None
        except (OSError, sqlite3.Error) as cause:
            raise self._unusable(cause) from None
        if response.status_code != 200:  # what the cache says of itself where it holds nothing
            raise ServiceFailed(f"{_shown(url)}: asking is switched off in county.toml, and nothing is kept")
        now = datetime.now(UTC)
        fetched = response.created_at.astimezone(UTC) if response.from_cache else now
        return Answer(response.json(), fetched, stale=now - fetched > keep)

    def _unusable(self, cause: Exception) -> OutputError:
        return OutputError(f"{self._folder / _FILE}: the cache cannot be used ({cause}); delete that file")


def _shown(url: str) -> str:
    """Host and path of an address."""
    parts = urlsplit(url)
    return f"{parts.hostname}{parts.path}"
