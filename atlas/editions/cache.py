"""What was made before and is still true: batches of sheets and pages around them, by what they depend on.

An entry is a file of its own under ``output/.cache/``, named by the hash of all that it depends on and
carrying the hash of all that it holds. One that is damaged or gone is made again; nothing else follows.
"""

from __future__ import annotations

import hashlib
import json
import os
import time
from collections.abc import Callable, Iterable
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path
from pickle import UnpicklingError

from atlas.binder import PARTS, Batch, BoundPage, Bytes, KeptSheet, Made, NotPrinted, keep_sheet
from atlas.editions.folder import cannot_write
from atlas.faults import OutputError
from atlas.paper import Destination, Link, page_hash
from atlas.records.pickled import packed, unpacked
from atlas.records.plain import told

__all__ = ["PageCache"]

_MARK = b"reach-atlas kept 1\n"
_DIGEST = 64
_STALE_S = 14 * 24 * 3600
"""Entries that no run asked for in so long are taken away."""


@dataclass(frozen=True, slots=True)
class _Slice:
    """Bytes within an entry."""

    path: Path
    begin: int
    length: int

    def read(self) -> bytes:
        """All of them."""
        try:
            with self.path.open("rb") as entry:
                entry.seek(self.begin)
                content = entry.read(self.length)
        except OSError:
            content = b""
        if len(content) != self.length:
            raise OutputError(f"{self.path}: was taken away or cut while it was in use; run again")
        return content


class PageCache:
    """Entries of one folder for one county as its files and templates stand.

    Parameters
    ----------
    folder : of the entries
    digest : of everything but the surveys: the county's files, templates, options, this program
    stamps : texts that name the edition on a page
    """

    def __init__(self, folder: Path, *, digest: str, stamps: tuple[str, ...]) -> None:
        self._folder = folder
        self._digest = digest
        self._stamps = stamps
        self.found = 0
        self.made = 0

    def _path(self, kind: str, depends_on: object) -> Path:
        key = hashlib.sha256(f"{self._digest} {told(depends_on)}".encode()).hexdigest()
        return self._folder / f"{kind}-{key}"

    def _read(self, path: Path) -> tuple[bytes, list[_Slice]] | None:
        """An entry's first part and where the others are; None where it is damaged or not there."""
        try:
            content = path.read_bytes()
        except OSError:
            return None
        body = memoryview(content)[len(_MARK) + _DIGEST :]
        digest = content[len(_MARK) : len(_MARK) + _DIGEST]
        if not content.startswith(_MARK) or hashlib.sha256(body).hexdigest().encode() != digest:
            return None
        head, _, _ = content[len(_MARK) + _DIGEST :].partition(b"\n")
        lengths = json.loads(head)
        begin = len(_MARK) + _DIGEST + len(head) + 1
        slices = []
        for length in lengths:
            slices.append(_Slice(path, begin, length))
            begin += length
        with suppress(OSError):
            os.utime(path)
        first = slices[0]
        return content[first.begin : first.begin + first.length], slices[1:]

    def _write(self, path: Path, parts: Iterable[bytes]) -> list[_Slice]:
        """Write an entry whole; returns where its parts are, without the first."""
        blobs = list(parts)
        head = json.dumps([len(blob) for blob in blobs]).encode() + b"\n"
        found = hashlib.sha256(head)
        for blob in blobs:
            found.update(blob)
        beside = path.with_name(f".{path.name}.{os.getpid()}")
        try:
            self._folder.mkdir(parents=True, exist_ok=True)
            try:
                with beside.open("wb") as entry:
                    entry.writelines((_MARK, found.hexdigest().encode(), head, *blobs))
                beside.replace(path)
            finally:
                with suppress(FileNotFoundError):
                    beside.unlink()
        except OSError as cause:
            raise cannot_write(path, cause) from None
        begin = len(_MARK) + _DIGEST + len(head)
        slices = []
        for blob in blobs:
            slices.append(_Slice(path, begin, len(blob)))
            begin += len(blob)
        return slices[1:]

    def find(self, batch: Batch) -> tuple[Made, ...] | None:
        """What became of a batch, if it was made before from the same."""
        entry = self._read(self._path("sites", batch))
        if entry is None:
            return None
        first, slices = entry
        try:
            facts = unpacked(first)
        except (UnpicklingError, AttributeError, ImportError, TypeError):
            return None  # of another release, which keeps its records otherwise
        rest = iter(slices)
        self.found += len(facts)
        return tuple(
            one if isinstance(one, NotPrinted) else KeptSheet(one, {part: next(rest) for part in PARTS})
            for one in facts
        )

    def put(self, batch: Batch, made: tuple[Made, ...]) -> tuple[Made, ...]:
        """Keep what became of a batch; returns it with its parts on disk instead of in memory.

        What the program failed on is not kept.

        Raises
        ------
        OutputError
            It cannot be written.
        """
        self.made += len(made)
        if any(isinstance(one, NotPrinted) and one.defect is not None for one in made):
            return made
        sheets = [one if isinstance(one, NotPrinted) else keep_sheet(one) for one in made]
        facts = packed(tuple(one if isinstance(one, NotPrinted) else one.facts for one in sheets))
        blobs = [one.part(part) for one in sheets if isinstance(one, KeptSheet) for part in PARTS]
        slices = iter(self._write(self._path("sites", batch), (facts, *blobs)))

        def on_disk(one: Made) -> Made:
            if isinstance(one, NotPrinted):
                return one
            parts: dict[str, Bytes] = {part: next(slices) for part in PARTS}
            return KeptSheet(one.facts, parts)

        return tuple(map(on_disk, sheets))

    def keep(self, depends_on: object, make: Callable[[], tuple[BoundPage, ...]]) -> tuple[BoundPage, ...]:
        """Pages around the sheets, made before from the same or made now."""
        path = self._path("pages", depends_on)
        entry = self._read(path)
        if entry is not None:
            with suppress(UnpicklingError, AttributeError, ImportError, TypeError):
                pages: tuple[BoundPage, ...] = unpacked(entry[0])
                return pages
        pages = tuple(self._lean(page) for page in make())
        self._write(path, [packed(pages)])
        return pages

    def _lean(self, page: BoundPage) -> BoundPage:
        """A page with its hash, and of what is laid out on it only what the binder asks for again."""
        kept = tuple(item for item in page.page.items if isinstance(item, Link | Destination))
        digest = page_hash(page.page, stamps=self._stamps)
        return replace(page, page=replace(page.page, items=kept), digest=digest)

    def tidy(self) -> None:
        """Take away entries that nobody asked for in a fortnight. Nothing printed hangs on it."""
        with suppress(OSError):
            oldest = time.time() - _STALE_S
            for path in self._folder.iterdir():
                if path.name.startswith(("sites-", "pages-")) and path.stat().st_mtime < oldest:
                    path.unlink()
