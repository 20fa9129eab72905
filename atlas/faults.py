"""The one error tree, and the record of one fault found in somebody's input.

    AtlasError
    |-- UsageError            the command was called wrongly                            exit 2
    |-- InputFaults           one or more faults in files; carries all of them          exit 1 or 3
    |-- EngineeringError      a computation that cannot be answered
    |   |-- OutOfRange        called outside the range in which the answer was shown
    |   `-- NoSolution        inside the range, and still no answer: names the cause
    |-- PageError             a page that cannot be printed as asked
    |   |-- BlockOverrun      what cannot fit; names block and overrun
    |   |-- MissingGlyphs     characters the configured font does not have
    |   `-- PageCheckFailed   the finished page broke a rule of print
    |-- OutputError           a folder or file that cannot be written                   exit 3
    `-- ServiceFailed         a service of gauges that gave no answer to be trusted     exit 3

`Fault` is data, not an exception: reading collects faults in a list and goes on.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

__all__ = [
    "AtlasError",
    "BlockOverrun",
    "EngineeringError",
    "Fault",
    "InputFaults",
    "MissingGlyphs",
    "NoSolution",
    "OutOfRange",
    "OutputError",
    "PageCheckFailed",
    "PageError",
    "ServiceFailed",
    "Severity",
    "UsageError",
    "clean_text",
]


class Severity(StrEnum):
    """How bad a fault is."""

    FILE = "file"
    """A whole file cannot be read (exit 3)."""
    ERROR = "error"
    """The site or record cannot be used (exit 1)."""
    WARNING = "warning"
    """Read, and worth a second look (exit 0)."""


def clean_text(text: str, *, longest: int = 120) -> str:
    """Text from a file made fit for a terminal or a page: no control characters, not endless."""
    printable = "".join(
        character if character.isprintable() else f"\\x{ord(character):02x}" for character in text
    )
    return printable if len(printable) <= longest else f"{printable[: longest - 1]}…"


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong in one place of one file.

    Attributes
    ----------
    code : stable name of the kind of fault, such as ``unit_unknown``
    severity : see `Severity`
    what : what is wrong, in words
    file : path as the user knows it
    feature : number of the feature in the file, from 1
    site : site code, where known
    field : property or key
    got : what stood there, as text
    allowed : what would have been accepted
    todo : what to do about it
    """

    code: str
    severity: Severity
    what: str
    file: str
    feature: int | None = None
    site: str | None = None
    field: str | None = None
    got: str | None = None
    allowed: str | None = None
    todo: str | None = None

    @property
    def where(self) -> str:
        """File, feature, site and field, as far as known."""
        parts = [clean_text(self.file, longest=300)]
        if self.feature is not None:
            parts.append(f"feature {self.feature}")
        if self.site is not None:
            parts.append(clean_text(self.site))
        if self.field is not None:
            parts.append(clean_text(self.field))
        return ", ".join(parts)

    def __str__(self) -> str:
        """`where: what; got ...; allowed ...; what to do`."""
        parts = [self.what]
        if self.got is not None:
            parts.append(f"got {clean_text(self.got)}")
        if self.allowed is not None:
            parts.append(f"allowed: {self.allowed}")
        if self.todo is not None:
            parts.append(self.todo)
        return f"{self.where}: {'; '.join(parts)}"


class AtlasError(Exception):
    """Root of everything this package raises on purpose."""


class UsageError(AtlasError):
    """The command was called wrongly."""


class InputFaults(AtlasError):
    """Faults in files that leave nothing to go on with."""

    def __init__(self, faults: list[Fault] | tuple[Fault, ...]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(str(fault) for fault in self.faults))


class EngineeringError(AtlasError):
    """A computation that cannot be answered."""


class OutOfRange(EngineeringError):
    """Called outside the range in which the answer was shown to hold."""


class NoSolution(EngineeringError):
    """Inside the range and still no answer; the text names the cause."""


class PageError(AtlasError):
    """A page that cannot be printed as asked."""


class BlockOverrun(PageError):
    """A block whose content is larger than its box, after every droppable row was dropped."""

    def __init__(self, block: str, overrun_mm: float, detail: str = "") -> None:
        self.block = block
        self.overrun_mm = overrun_mm
        tail = f" ({detail})" if detail else ""
        super().__init__(f"block '{block}' is {overrun_mm:.1f} mm too large for its box{tail}")


class MissingGlyphs(PageError):
    """Characters the configured font does not have."""


class PageCheckFailed(PageError):
    """The finished page broke a rule of print."""


class OutputError(AtlasError):
    """A folder or file that cannot be written."""


class ServiceFailed(AtlasError):
    """A service of gauges gave no answer that can be trusted; the text names the address and says why."""
