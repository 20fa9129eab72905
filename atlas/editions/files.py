"""A single file, written whole or not at all."""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path

from atlas.editions.folder import cannot_write

__all__ = ["write_file"]


def write_file(path: Path, content: bytes) -> Path:
    """Write a file beside its place and rename it in; a link in its place is replaced, not followed.

    Raises
    ------
    OutputError
        It cannot be written.
    """
    beside = path.with_name(f".{path.name}.{os.getpid()}")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        try:
            beside.write_bytes(content)
            beside.replace(path)
        finally:
            with suppress(FileNotFoundError):
                beside.unlink()
    except OSError as cause:
        raise cannot_write(path, cause) from None
    return path
