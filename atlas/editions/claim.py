"""Whether a half-built folder still has a run that is building it: an advisory lock, freed by any end."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

__all__ = ["claim", "is_claimed"]

if sys.platform == "win32":  # a folder cannot be locked there: what is half built is left alone

    @contextmanager
    def claim(folder: Path) -> Iterator[None]:  # noqa: ARG001 -- nothing to lock
        """Hold nothing."""
        yield

    def is_claimed(folder: Path) -> bool:  # noqa: ARG001 -- nothing to ask
        """Taken as in use."""
        return True

else:
    import fcntl

    @contextmanager
    def claim(folder: Path) -> Iterator[None]:
        """Hold a folder as being built, until the block or the process ends."""
        handle = os.open(folder, os.O_RDONLY)
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
            yield
        finally:
            os.close(handle)

    def is_claimed(folder: Path) -> bool:
        """Whether a run holds it. True where that cannot be found out."""
        try:
            handle = os.open(folder, os.O_RDONLY)
        except OSError:
            return True
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            return True
        finally:
            os.close(handle)
        return False
