"""Hashes of everything a binder is made from, taken before anything heavy is imported."""

from __future__ import annotations

import hashlib
import os
import sys
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

import atlas

__all__ = ["Inputs", "file_digest", "inputs_of"]

_PARTS = (
    "numpy", "scipy", "shapely", "pyproj", "geopandas", "pyogrio", "pydantic", "pint", "mgrs", "reportlab",
    "pikepdf", "pypdfium2", "segno", "fontpkg-ibm-plex-sans-condensed",
)  # fmt: skip
"""Whose release may show in what is printed."""
_CHUNK = 1 << 20
_PROGRAM = (".py", ".json", ".toml")


@dataclass(frozen=True, slots=True)
class Inputs:
    """Hashes of what a binder is made from.

    Attributes
    ----------
    rest : everything but the surveys
    everything : all of it
    """

    rest: str
    everything: str


def file_digest(path: Path) -> str:
    """SHA-256 of a file; of one that cannot be read, that it cannot."""
    found = hashlib.sha256()
    try:
        with path.open("rb") as file:
            while chunk := file.read(_CHUNK):
                found.update(chunk)
    except OSError as cause:
        return f"unreadable {cause.errno}"
    return found.hexdigest()


def _files(folder: Path, without: Path) -> Iterator[Path]:
    """Every file under a folder, in order; hidden ones and what was printed are left alone."""
    for at, folders, names in os.walk(folder):
        folders[:] = sorted(
            name for name in folders
            if not name.startswith(".") and name != "__pycache__" and Path(at, name).resolve() != without
        )  # fmt: skip
        yield from (Path(at, name) for name in sorted(names) if not name.startswith("."))


def _digests(folder: Path, without: Path) -> dict[str, str]:
    paths = list(_files(folder, without))
    with ThreadPoolExecutor(2) as pool:  # hashing lets other threads run
        found = pool.map(file_digest, paths)
        return {
            path.relative_to(folder).as_posix(): digest for path, digest in zip(paths, found, strict=True)
        }


def _releases() -> Iterator[str]:
    yield sys.version
    for name in _PARTS:
        try:
            yield f"{name} {version(name)}"
        except PackageNotFoundError:
            yield f"{name} not installed"


def _program() -> Iterator[str]:
    """The program itself: who changes it sees the change printed."""
    folder = Path(atlas.__file__).parent
    for path in _files(folder, folder / "no such folder"):
        if path.suffix in _PROGRAM:
            yield f"{path.relative_to(folder).as_posix()} {file_digest(path)}"


def _hashed(texts: list[str]) -> str:
    return hashlib.sha256("\n".join(texts).encode("utf-8", "surrogateescape")).hexdigest()


def inputs_of(county: Path, *, out: Path, options: tuple[str, ...]) -> Inputs:
    """Hash a county's folder, the packaged templates, this program and what it stands on.

    Parameters
    ----------
    out : what is printed there is no input, wherever it stands
    options : everything else that shows in print
    """
    from atlas.settings.shipped import shipped_folder

    without = out.resolve()
    own = _digests(county, without)
    templates = _digests(shipped_folder("templates"), without)
    rest = [
        str(county), *options, *_releases(), *_program(),
        *(f"template {name} {digest}" for name, digest in templates.items()),
        *(f"{name} {digest}" for name, digest in own.items() if not name.startswith("surveys/")),
    ]  # fmt: skip
    surveys = [f"{name} {digest}" for name, digest in own.items() if name.startswith("surveys/")]
    first = _hashed(rest)
    return Inputs(first, _hashed([first, *surveys]))
