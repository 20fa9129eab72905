"""An edition made from the same as now, still whole: then there is nothing to make, and all is told again."""

from __future__ import annotations

import hashlib
import json
import os
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from dataclasses import asdict, dataclass
from pathlib import Path

from atlas.cli.inputs import file_digest

__all__ = ["CACHE", "LastRun", "last_run", "remember"]

CACHE = ".cache"
_SCHEMA = 1


@dataclass(frozen=True, slots=True)
class LastRun:
    """What a run of `binder` was made from, and what it said.

    Attributes
    ----------
    inputs : hash of all it was made from
    clock : the day that was taken from the clock, if it was
    files : of the edition, with their hashes
    """

    inputs: str
    edition: str
    code: int
    said: tuple[str, ...]
    clock: str | None
    files: dict[str, str]


def _path(out: Path, county: Path) -> Path:
    """By where the county stands from here: both may be moved together."""
    way = os.path.relpath(county.resolve(), out.resolve())
    name = hashlib.sha256(os.fsencode(way)).hexdigest()[:24]
    return out / CACHE / f"last-{name}.json"


def _read(path: Path) -> LastRun | None:
    """The last run as it was remembered; None where that is damaged."""
    try:
        raw = json.loads(path.read_bytes())
        if raw.pop("schema") != _SCHEMA:
            return None
        found = LastRun(**raw)
    except (OSError, ValueError, TypeError, KeyError, AttributeError, RecursionError):
        return None
    inside = all("/" not in part and part not in {"", ".", ".."} for part in (found.edition,))
    return found if inside and isinstance(found.files, dict) else None


def last_run(out: Path, county: Path, *, inputs: str, today: str) -> LastRun | None:
    """The last run, if it was made from the same and its edition still stands as it was written."""
    found = _read(_path(out, county))
    if found is None or found.inputs != inputs or found.clock not in {None, today}:
        return None
    place = out / found.edition
    with ThreadPoolExecutor(2) as pool:  # hashing lets other threads run
        same = pool.map(lambda one: file_digest(place / one[0]) == one[1], found.files.items())
        return found if all(same) else None


def remember(out: Path, county: Path, run: LastRun) -> None:
    """Write down what a run was made from; that it cannot be costs the next run its time and no more."""
    path = _path(out, county)
    beside = path.with_name(f".{path.name}.{os.getpid()}")
    with suppress(OSError):
        path.parent.mkdir(parents=True, exist_ok=True)
        told = json.dumps({"schema": _SCHEMA, **asdict(run)}, ensure_ascii=False)
        beside.write_text(told, encoding="utf-8")
        beside.replace(path)
