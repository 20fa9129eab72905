"""An edition's folder, written whole or not at all.

It is built beside its place, as ``.NAME.building-PID``, and swapped in by renames, because no system
replaces a full folder in one step: the old edition is renamed to ``.NAME.old-PID``, the new one renamed
in, the old one deleted. A run that was cut off between the two renames is mended by the next.
"""

from __future__ import annotations

import errno
import hashlib
import os
import re
import shutil
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path, PurePosixPath

from atlas.editions.claim import claim, is_claimed
from atlas.faults import OutputError

__all__ = ["RECORD", "Build", "building", "cannot_write", "refuse_foreign"]

RECORD = "edition.json"
"""The file by which a folder is known as an edition."""


def cannot_write(path: Path, cause: OSError) -> OutputError:
    """One line about a file or folder that cannot be written."""
    why = cause.strerror or type(cause).__name__
    return OutputError(
        f"{path}: cannot be written: {why}; make room, mend its permissions or name another --out"
    )


@dataclass(frozen=True, slots=True)
class Build:
    """The half-built edition. `folder` is where it grows, `place` where it will stand.

    Attributes
    ----------
    digests : SHA-256 of each file written, by its path in the edition
    """

    folder: Path
    place: Path
    digests: dict[str, str] = field(default_factory=dict)

    def write(self, name: str, content: bytes) -> Path:
        """Write one file; returns where it will stand.

        Parameters
        ----------
        name : its path in the edition, with forward slashes

        Raises
        ------
        OutputError
            It cannot be written.
        """
        inside = PurePosixPath(name)
        if inside.is_absolute() or not inside.parts or ".." in inside.parts:
            raise OutputError(f"{name}: no path inside an edition")
        path = self.folder / inside
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(content)
        except OSError as cause:
            raise cannot_write(self.place / inside, cause) from None
        self.digests[inside.as_posix()] = hashlib.sha256(content).hexdigest()
        return self.place / inside


def refuse_foreign(place: Path) -> None:
    """Nothing is written through a link, and no folder replaced that is not an edition.

    Parameters
    ----------
    place : where an edition is to stand

    Raises
    ------
    OutputError
        Something else stands there, or in the place of the folder that is to hold it.
    """
    out = place.parent
    if out.exists() and not out.is_dir():
        raise OutputError(f"{out}: is a file where the folder of editions belongs; name another --out")
    if place.is_symlink():
        raise OutputError(f"{place}: is a link to elsewhere; take it away or name another --out")
    if not place.exists():
        return
    if not place.is_dir():
        raise OutputError(f"{place}: is a file where the edition's folder belongs; move it away")
    if not (place / RECORD).is_file() and any(place.iterdir()):
        raise OutputError(
            f"{place}: holds files and no {RECORD}, so it is no edition and is not replaced; move it away"
        )


def _left_behind(place: Path, kind: str) -> list[Path]:
    """Folders of earlier runs of one kind beside the edition, newest first."""
    pattern = re.compile(rf"\.{re.escape(place.name)}\.{kind}-[0-9]+")
    found = [path for path in place.parent.iterdir() if pattern.fullmatch(path.name) and path.is_dir()]
    there = [path for path in found if not path.is_symlink()]
    return sorted(there, key=lambda path: (-path.stat().st_mtime, path.name))


def _repair(place: Path) -> None:
    """Put back an edition that a cut-off run had renamed away; take away what it left half built."""
    for old in _left_behind(place, "old"):
        if place.exists():
            shutil.rmtree(old, ignore_errors=True)
        else:
            old.rename(place)
    for half in _left_behind(place, "building"):
        if not is_claimed(half):
            shutil.rmtree(half, ignore_errors=True)


def _swap_in(folder: Path, place: Path) -> None:
    old = place.with_name(f".{place.name}.old-{os.getpid()}")
    try:
        with suppress(FileNotFoundError):
            place.rename(old)
        folder.rename(place)
    except BaseException:
        if old.exists() and not place.exists():
            old.rename(place)
        raise
    finally:
        if place.exists():
            shutil.rmtree(old, ignore_errors=True)


@contextmanager
def building(out: Path, name: str) -> Iterator[Build]:
    """Build the edition `name` in the folder `out`; it stands there when the block ends well, else not.

    Whatever ends the block early, Ctrl-C too, leaves an earlier edition of that name untouched and
    takes away what was half built.

    Raises
    ------
    OutputError
        The place is a link, a file, or a folder that is no edition; or nothing can be written there.
    """
    place = out / name
    folder = out / f".{name}.building-{os.getpid()}"
    try:
        refuse_foreign(place)
        out.mkdir(parents=True, exist_ok=True)
        _repair(place)
        folder.mkdir()
    except OSError as cause:
        raise cannot_write(place, cause) from None
    try:
        with claim(folder):
            build = Build(folder, place)
            yield build
            _require_whole(build)
            _swap(folder, place)
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _require_whole(build: Build) -> None:
    """Nobody took anything away while it was written."""
    for name in build.digests:
        if not (build.folder / name).is_file():
            raise OutputError(
                f"{build.place / name}: was taken away while the edition was written; run again"
            )


def _swap(folder: Path, place: Path) -> None:
    try:
        refuse_foreign(place)
        _swap_in(folder, place)
    except OSError as cause:
        if cause.errno in {errno.ENOTEMPTY, errno.EEXIST}:
            raise OutputError(f"{place}: another run wrote it at the same time; run again") from None
        raise cannot_write(place, cause) from None
