"""What holds for every kind of survey file: that it is there, its schema, its reference system."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from atlas.survey.report import Report
from atlas.units import shown_raw

__all__ = ["SCHEMA", "check_schema", "file_is_there", "read_text", "tell_other_crs"]

SCHEMA: Final = 1
"""The survey schema this reader knows; the first."""
_LARGEST_BYTES: Final = 64 * 1024 * 1024


def file_is_there(path: Path, report: Report, *, kind: str = "survey") -> bool:
    """Whether there is a file with something in it, of a size a survey can have; tells why not.

    `kind` is what faults call it: a survey, a layer.
    """
    try:
        size = path.stat().st_size
        folder = path.is_dir()
    except FileNotFoundError:
        report.fail("file_missing", "the file is not there", todo="check the path")
        return False
    except OSError as error:
        _tell_unreadable(error, report)
        return False
    if folder:
        report.fail("file_unreadable", "this is a folder", todo="name a file in it")
    elif size == 0:
        report.fail("file_empty", "the file is empty", todo=f"export the {kind} again")
    elif size > _LARGEST_BYTES:
        report.fail(
            "file_too_large",
            f"the file is too large for a {kind}",
            got=f"{size} bytes",
            allowed=f"at most {_LARGEST_BYTES} bytes",
            todo="split it by reach" if kind == "survey" else "cut it to the county",
        )
    else:
        return True
    return False


def _tell_unreadable(error: OSError, report: Report) -> None:
    reason = (error.strerror or type(error).__name__).lower()
    report.fail("file_unreadable", f"the file cannot be read: {reason}", todo="check path and permissions")


def read_text(path: Path, report: Report, *, kind: str = "survey") -> str | None:
    """The file's text, or None with the reason told. A byte order mark is accepted."""
    if not file_is_there(path, report, kind=kind):
        return None
    try:
        content = path.read_bytes()
    except OSError as error:
        _tell_unreadable(error, report)
        return None
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        report.fail(
            "not_utf8",
            "the file is not UTF-8 text",
            got=f"byte 0x{error.object[error.start]:02x} at position {error.start}",
            todo="save it as UTF-8",
        )
        return None
    if not text.strip():
        report.fail("file_empty", "the file is empty", todo=f"export the {kind} again")
        return None
    return text


def check_schema(raw: object, report: Report) -> bool:
    """Whether to read on, by the file's schema; tells what is wrong with it."""
    here = report.at(field="schema")
    whole = isinstance(raw, int) or (isinstance(raw, float) and raw.is_integer())
    if isinstance(raw, bool) or not isinstance(raw, (int, float)) or not whole:
        here.error(
            "schema_not_a_number",
            "the schema is not a whole number",
            got=shown_raw(raw),
            allowed=f"{SCHEMA}",
            todo="write the number of the schema that the file follows",
        )
    elif raw > SCHEMA:
        here.fail(
            "schema_newer",
            "the file's schema is newer than this program",
            got=shown_raw(raw),
            allowed=f"up to {SCHEMA}",
            todo="install a newer release",
        )
        return False
    elif raw < SCHEMA:
        here.error(
            "schema_unknown",
            "there is no such schema",
            got=shown_raw(raw),
            allowed=f"{SCHEMA}",
            todo="write the number of the schema that the file follows",
        )
    return True


def tell_other_crs(got: str, report: Report) -> None:
    """The coordinates are not what they have to be. Nothing is transformed unasked."""
    report.at(field="crs").error(
        "crs_not_wgs84",
        "the coordinates are in another reference system",
        got=got,
        allowed="longitude and latitude in WGS 84 (EPSG:4326)",
        todo="export the survey again in EPSG:4326",
    )
