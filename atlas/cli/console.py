"""Text to the terminal: results on stdout, everything else on stderr, control characters nowhere."""

from __future__ import annotations

import logging
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from atlas.faults import clean_text

__all__ = ["cleaned", "logging_to_stderr", "progress", "result", "result_bytes", "say"]

_LONGEST = 4000


def cleaned(text: str) -> str:
    """Text without control characters, its line feeds kept."""
    return "\n".join(clean_text(line, longest=_LONGEST) for line in text.split("\n"))


def result(text: str) -> None:
    """A result, on stdout."""
    sys.stdout.write(f"{cleaned(text)}\n")


def result_bytes(content: bytes) -> None:
    """A result that is a file of its own, on stdout as it is."""
    sys.stdout.flush()
    sys.stdout.buffer.write(content)
    sys.stdout.buffer.flush()


def say(text: str) -> None:
    """Anything but a result, on stderr."""
    sys.stderr.write(f"{cleaned(text)}\n")


@contextmanager
def progress(what: str, total: int) -> Iterator[Callable[[str], None]]:
    """A bar on stderr where that is a terminal, else nothing; gives a function to be told of each step."""
    if not sys.stderr.isatty():
        yield lambda _: None
        return
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn

    columns = (TextColumn("{task.description}", markup=False), BarColumn(), MofNCompleteColumn())
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task(what, total=total)

        def advance(name: str) -> None:
            bar.update(task, advance=1, description=f"{what} {cleaned(name)}")

        yield advance


class _Cleaned(logging.Formatter):
    def format(self, record: logging.LogRecord) -> str:
        return cleaned(super().format(record))


@contextmanager
def logging_to_stderr(*, debug: bool) -> Iterator[None]:
    """Logging of every library to stderr while a command runs: all of it with `debug`, else warnings."""
    root = logging.getLogger()
    handler = logging.StreamHandler(sys.stderr)
    handler.setFormatter(_Cleaned("%(levelname)s %(name)s: %(message)s"))
    before = root.level
    root.addHandler(handler)
    root.setLevel(logging.DEBUG if debug else logging.WARNING)
    logging.captureWarnings(debug)
    try:
        yield
    finally:
        logging.captureWarnings(False)
        root.setLevel(before)
        root.removeHandler(handler)
