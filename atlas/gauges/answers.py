"""How answers of services are fetched: patiently, up to a size and a time, from no other place than asked.

Everything here lies under the cache, so that whatever fails here leaves yesterday's answer standing.
"""

from __future__ import annotations

import json
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from io import BytesIO
from queue import Empty, SimpleQueue
from threading import Thread
from typing import TYPE_CHECKING
from urllib.parse import urljoin, urlsplit

import requests
from requests.adapters import HTTPAdapter
from urllib3 import HTTPResponse
from urllib3.exceptions import HTTPError

if TYPE_CHECKING:
    from requests import PreparedRequest, Response

__all__ = ["AnswerRefused", "Patience", "PatientAdapter", "origin_of"]

_OK = 200
_AGAIN = frozenset({429, 500, 502, 503, 504})
_HOPS_MOST = 3
_PIECE = 65536


class AnswerRefused(requests.RequestException):
    """An answer that is not to be trusted; asking again would not mend it."""


class _AskAgain(requests.RequestException):
    """A failure that may pass; `wait_s` as the service asked, None where it did not."""

    def __init__(self, text: str, wait_s: float | None = None) -> None:
        super().__init__(text)
        self.wait_s = wait_s


@dataclass(frozen=True, slots=True)
class Patience:
    """How long and how often a service is waited for.

    Attributes
    ----------
    connect_s, silence_s, answer_s : for a connection, between two pieces, for a whole answer [s]
    tries : in all
    back_off_s : before the second try, doubled before each further one [s]
    wait_most_s : whatever the service asks for [s]
    largest_bytes : of an answer, unpacked
    sleep, clock : of the system
    """

    connect_s: float = 5.0
    silence_s: float = 20.0
    answer_s: float = 60.0
    tries: int = 4
    back_off_s: float = 1.0
    wait_most_s: float = 30.0
    largest_bytes: int = 20_000_000
    sleep: Callable[[float], None] = field(default=time.sleep)
    clock: Callable[[], float] = field(default=time.monotonic)


def origin_of(url: str) -> tuple[str, str, int]:
    """Scheme, host and port of an address.

    Raises
    ------
    AnswerRefused
        It is not http or https, or has no host.
    """
    try:
        parts = urlsplit(url)
        port = parts.port or {"http": 80, "https": 443}.get(parts.scheme, 0)
    except ValueError:
        raise AnswerRefused("an address that cannot be read") from None
    if parts.scheme not in {"http", "https"} or not parts.hostname or parts.username is not None:
        raise AnswerRefused("an address that is not http or https")
    return parts.scheme, parts.hostname.lower(), port


class PatientAdapter(HTTPAdapter):
    """Sends a request until it is answered with JSON, or says why it was not.

    Parameters
    ----------
    origins : scheme, host and port of each service that may be asked
    patience : see there
    """

    def __init__(self, origins: frozenset[tuple[str, str, int]], patience: Patience) -> None:
        super().__init__()
        self._origins = origins
        self._patience = patience
        self._silent: set[tuple[str, str, int]] = set()

    def send(  # noqa: D102 -- the base class's
        self,
        request: PreparedRequest,
        stream: bool = False,  # noqa: FBT001, FBT002, ARG002 -- the base class's
        timeout: float | tuple[float | None, float | None] | None = None,  # noqa: ARG002 -- patience has it
        verify: bool | str = True,  # noqa: FBT001, FBT002 -- the base class's
        cert: bytes | str | tuple[bytes | str, bytes | str] | None = None,
        proxies: Mapping[str, str] | None = None,
    ) -> Response:
        patience = self._patience
        wait_s = patience.back_off_s
        origin = origin_of(str(request.url))
        # a service that was waited for in vain is not waited for again, gauge after gauge
        tries = 1 if origin in self._silent else patience.tries
        for tried in range(1, tries + 1):
            try:
                response = self._asked(request, verify=verify, cert=cert, proxies=proxies)
            except _AskAgain as cause:
                if tried == tries:
                    self._silent.add(origin)
                    raise
                asked_s = wait_s if cause.wait_s is None else cause.wait_s
                patience.sleep(min(max(asked_s, 0.0), patience.wait_most_s))
                wait_s *= 2.0
            else:
                self._silent.discard(origin)
                return response
        raise AnswerRefused("never asked: no try was allowed")

    def _asked(self, request: PreparedRequest, **how: object) -> Response:
        """One answer, along redirects that stay with the service."""
        end_s = self._patience.clock() + self._patience.answer_s
        for _ in range(_HOPS_MOST + 1):
            self._refuse_foreign(str(request.url))
            response = self._answer(request, end_s, how)
            if not response.is_redirect:
                return _trusted(response)
            request = request.copy()
            request.url = urljoin(str(request.url), response.headers["location"])
        raise AnswerRefused(f"redirected more than {_HOPS_MOST} times")

    def _refuse_foreign(self, url: str) -> None:
        if origin_of(url) not in self._origins:
            host = urlsplit(url).hostname
            raise AnswerRefused(f"led to {host}, which is not configured, or not in this way")

    def _answer(self, request: PreparedRequest, end_s: float, how: dict[str, object]) -> Response:
        try:
            response = self._begun(request, end_s, how)
            try:
                return self._whole(request, response, end_s)
            finally:
                response.close()  # and with it a connection on which more is to come
        except requests.Timeout:
            raise _AskAgain("did not answer in time") from None
        except (requests.ConnectionError, requests.exceptions.ChunkedEncodingError) as cause:
            raise _AskAgain(f"could not be reached or broke off ({_plainly(cause)})") from None

    def _begun(self, request: PreparedRequest, end_s: float, how: dict[str, object]) -> Response:
        """An answer as far as its head.

        In a thread of its own: a server that drips its head is under every limit of silence, and could only
        be waited for. A thread that is given up ends with its server, or with the program.
        """
        patience = self._patience
        limits = (patience.connect_s, patience.silence_s)
        ask = super().send
        found: SimpleQueue[Response | BaseException] = SimpleQueue()

        def run() -> None:
            try:
                found.put(ask(request, stream=True, timeout=limits, **how))  # type: ignore[arg-type] # as it was given
            except BaseException as cause:  # noqa: BLE001 -- handed over whole, and raised there
                found.put(cause)

        Thread(target=run, daemon=True).start()
        try:
            begun = found.get(timeout=max(end_s - patience.clock(), 0.0))
        except Empty:
            raise _AskAgain("did not answer in time") from None
        if isinstance(begun, BaseException):
            raise begun
        return begun

    def _whole(self, request: PreparedRequest, response: Response, end_s: float) -> Response:
        """The answer with its body read, which is where size and time are held."""
        body = self._body(response.raw, end_s)
        headers = response.raw.headers.copy()
        for name in ("content-encoding", "transfer-encoding", "content-length"):
            headers.discard(name)
        read = HTTPResponse(
            body=BytesIO(body),
            headers=headers,
            status=response.status_code,
            reason=response.raw.reason,
            preload_content=False,
            request_url=str(request.path_url),
        )
        return self.build_response(request, read)

    def _body(self, raw: HTTPResponse, end_s: float) -> bytes:
        patience = self._patience
        body = bytearray()
        try:
            while True:
                # read1 gives what is there: a read of a fixed size would wait on for a server that drips
                piece = raw.read1(_PIECE, decode_content=True)
                if not piece:
                    return bytes(body)
                body += piece
                if len(body) > patience.largest_bytes:
                    raise AnswerRefused(f"answered with more than {patience.largest_bytes} bytes")
                if patience.clock() > end_s:
                    raise _AskAgain("did not answer in time")
        except HTTPError as cause:
            raise _AskAgain(f"broke off ({_plainly(cause)})") from None


def _plainly(cause: BaseException) -> str:
    """Kind of the innermost cause: the libraries' texts hold addresses in memory."""
    inner: BaseException = cause
    while inner.__context__ is not None or inner.__cause__ is not None:
        inner = inner.__cause__ or inner.__context__ or inner
    return type(inner).__name__


def _retry_after_s(response: Response) -> float | None:
    """Seconds the service asks to be left alone; a date is not read."""
    text = response.headers.get("retry-after", "").strip()
    return float(text) if text.isascii() and text.isdigit() and len(text) <= 6 else None


def _trusted(response: Response) -> Response:
    """The answer, if it is a JSON object that was meant as an answer."""
    status = response.status_code
    if status in _AGAIN:
        raise _AskAgain(f"answered with status {status}", _retry_after_s(response))
    if status != _OK:
        raise AnswerRefused(f"answered with status {status}")
    try:
        found = json.loads(response.content, parse_constant=_no_number)
    except (ValueError, RecursionError):
        raise AnswerRefused("answered with something that is not JSON") from None
    if not isinstance(found, dict):
        raise AnswerRefused("answered with JSON that is no object")
    return response


def _no_number(name: str) -> float:
    raise ValueError(name)
