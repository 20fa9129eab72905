"""What became of a command: its faults told, counted, and turned into the exit code."""

from __future__ import annotations

import os
import sys
import tempfile
import traceback
from collections import Counter
from collections.abc import Callable, Iterable
from enum import IntEnum
from pathlib import Path
from typing import NoReturn

import typer

from atlas.cli.console import logging_to_stderr, result, say
from atlas.faults import AtlasError, Fault, InputFaults, OutputError, Severity, UsageError

__all__ = ["Exit", "Outcome", "finish"]


class Exit(IntEnum):
    """Exit codes; the highest of all that happened wins."""

    MADE = 0
    NOT_ALL_MADE = 1
    WRONG_USAGE = 2
    FILE_FAILED = 3
    DEFECT = 4
    INTERRUPTED = 130


_OF_SEVERITY = {
    Severity.WARNING: Exit.MADE,
    Severity.ERROR: Exit.NOT_ALL_MADE,
    Severity.FILE: Exit.FILE_FAILED,
}
_NAMES = {
    Severity.FILE: ("file that cannot be read", "files that cannot be read"),
    Severity.ERROR: ("fault", "faults"),
    Severity.WARNING: ("warning", "warnings"),
}


class Outcome:
    """Owns counts, summary and exit code of one run of a command."""

    def __init__(self, *, debug: bool) -> None:
        self.debug = debug
        self.code = Exit.MADE
        self._counts: Counter[Severity] = Counter()
        self._told: set[Fault] = set()
        self.lines: list[str] = []
        """What was told of faults, in its order."""

    def at_least(self, code: Exit) -> None:
        """Something happened that ends in this code, or a higher one."""
        self.code = max(self.code, code)

    def tell(self, faults: Iterable[Fault], *, as_result: bool = False) -> None:
        """Each fault on a line of its own, once; on stderr, or on stdout where they were asked for."""
        for fault in faults:
            if fault in self._told:
                continue
            self._told.add(fault)
            self._counts[fault.severity] += 1
            self.at_least(_OF_SEVERITY[fault.severity])
            word = "warning: " if fault.severity is Severity.WARNING else ""
            self.lines.append(f"{word}{fault}")
            (result if as_result else say)(self.lines[-1])

    def summary(self) -> str:
        """How many faults of each severity were told."""
        parts = [
            f"{count} {_NAMES[severity][count != 1]}"
            for severity in Severity
            if (count := self._counts[severity])
        ]
        return ", ".join(parts) or "no faults"

    def defect(self, told: str) -> None:
        """A defect of ours: one line and the path of a log that holds the traceback; here with `debug`."""
        self.at_least(Exit.DEFECT)
        say(f"a defect of reach-atlas; please report it with the log {_write_log(told)}")
        if self.debug:
            say(told)


def _write_log(told: str) -> Path | str:
    from atlas import __version__

    head = f"reach-atlas {__version__}\nPython {sys.version}\narguments {sys.argv[1:]!r}\n\n"
    try:
        handle, name = tempfile.mkstemp(prefix="reach-atlas-", suffix=".log")
        with os.fdopen(handle, "w", encoding="utf-8", errors="backslashreplace") as log:
            log.write(f"{head}{told}")
    except OSError as cause:
        return f"that could not be written ({cause.strerror}); run again with --debug"
    return Path(name)


def _stdout_is_gone() -> None:
    """Let nothing be written to a reader that went away, not even what is still buffered."""
    sys.stdout = open(os.devnull, "w", encoding="utf-8")  # noqa: PTH123, SIM115 -- stands to the end of the process


def finish(run: Callable[[Outcome], None], *, debug: bool) -> NoReturn:
    """Run a command's work, tell what went wrong in words, and end with its exit code.

    Raises
    ------
    typer.Exit
        Always.
    """
    outcome = Outcome(debug=debug)
    with logging_to_stderr(debug=debug):
        try:
            run(outcome)
            sys.stdout.flush()
        except KeyboardInterrupt:
            say("stopped; nothing is left half written")
            outcome.at_least(Exit.INTERRUPTED)
        except BrokenPipeError:
            _stdout_is_gone()
            outcome.at_least(Exit.FILE_FAILED)
        except UsageError as cause:
            say(str(cause))
            outcome.at_least(Exit.WRONG_USAGE)
        except InputFaults as cause:
            outcome.tell(cause.faults)
            say(outcome.summary())
        except OutputError as cause:
            say(str(cause))
            outcome.at_least(Exit.FILE_FAILED)
        except AtlasError as cause:
            say(str(cause))
            outcome.at_least(Exit.NOT_ALL_MADE)
        except Exception:  # noqa: BLE001 -- whatever else arrives here is a defect, and is reported as one
            outcome.defect(traceback.format_exc())
    raise typer.Exit(outcome.code)
