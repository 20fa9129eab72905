"""Reading a settings file: TOML in, plain tables or one clear fault out."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ConfigDict, ValidationError
from pydantic_core import ErrorDetails

from atlas.faults import Fault, InputFaults, Severity

SCHEMA = 1

Table = dict[str, Any]


class Strict(BaseModel):
    """Settings are frozen, know their keys, and take no NaN or infinity."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False, strict=True)


def file_fault(path: Path, what: str, *, code: str, todo: str, got: str | None = None) -> InputFaults:
    """One fault about a whole file, ready to raise."""
    return InputFaults(
        [Fault(code=code, severity=Severity.FILE, what=what, file=str(path), got=got, todo=todo)]
    )


# How the parser's messages begin -> what to tell of them.
_NOT_TOML = {
    "Cannot overwrite": "a key stands twice",
    "Cannot declare": "a table stands twice, or once as [name] and once as [[name]]",
    "Expected '='": "a key without its '='",
    "Expected ']'": "a table's name not closed with its bracket",
    "Expected newline": "something stands after the value, or a date or number is not one",
    "Illegal character": "a character that may not stand here, or a text not closed with its quote",
    "Invalid statement": "this line begins with no key and no table",
    "Invalid value": "this is no value; a text needs quotes",
    "Unescaped": "a backslash in a text; write it twice, or use single quotes",
}
_AT_LINE = re.compile(r"\(at line (\d+), column \d+\)")
_LARGEST_BYTES = 2_000_000


def _syntax_fault(path: Path, text: str, message: str) -> InputFaults:
    """What the parser stumbled over, with its line, in our words."""
    lines = text.splitlines()
    at = _AT_LINE.search(message)
    number = int(at.group(1)) if at else len(lines)
    if at is None and not message.startswith("Cannot"):
        what, code = f"the file ends in the middle of an entry, at line {number}: is it cut off?", "file_cut"
        todo = "complete the entry, or fetch the whole file again"
    else:
        known = next((ours for start, ours in _NOT_TOML.items() if message.startswith(start)), "not TOML")
        what, code, todo = f"line {number} is not TOML: {known}", "not_toml", "mend the line"
    got = next((line.strip() for line in lines[number - 1 : number]), "")
    return file_fault(path, what, code=code, got=got, todo=todo)


def _read_text(path: Path) -> str:
    """The text of a file that may be missing, unreadable, empty, endless or in another encoding."""
    try:
        raw = path.read_bytes()
    except FileNotFoundError:
        raise file_fault(
            path, "the file is not there", code="file_missing", todo="put it back or name another folder"
        ) from None
    except OSError as cause:
        raise file_fault(
            path,
            "the file cannot be read",
            code="file_unreadable",
            got=cause.strerror,
            todo="look at its permissions, and whether it is a file at all",
        ) from None
    if len(raw) > _LARGEST_BYTES:
        raise file_fault(
            path,
            "the file is too large",
            code="file_too_large",
            got=f"{len(raw)} bytes",
            todo=f"keep it under {_LARGEST_BYTES} bytes",
        )
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as cause:
        raise file_fault(
            path,
            f"line {raw[: cause.start].count(10) + 1} is not UTF-8 text",
            code="not_utf8",
            todo="save the file as UTF-8",
        ) from None
    if not text.strip():
        raise file_fault(path, "the file is empty", code="file_empty", todo="fetch the file again")
    return text


def _check_schema(path: Path, table: Table) -> None:
    """The file says which form it has, and it is ours."""
    mend = f"write schema = {SCHEMA} as its first line"
    if "schema" not in table:
        raise file_fault(path, "the file does not say its schema", code="schema_missing", todo=mend)
    schema = table.pop("schema")
    whole = isinstance(schema, int) and not isinstance(schema, bool)
    if whole and schema > SCHEMA:
        raise file_fault(
            path,
            "the file is of a newer schema than this version reads",
            code="schema_newer",
            got=str(schema),
            todo="use a newer reach-atlas",
        )
    if not whole or schema != SCHEMA:
        raise file_fault(
            path, "the file's schema is not one we know", code="schema_unknown", got=repr(schema), todo=mend
        )


def read_table(path: Path) -> Table:
    """The tables of a TOML file of our schema, without the ``schema`` key.

    Raises
    ------
    InputFaults
        The file is missing, unreadable, empty, too large, not UTF-8, not TOML, cut off, or of a schema
        this version does not know. One fault, with the line where there is one.
    """
    text = _read_text(path)
    try:
        table: Table = tomllib.loads(text)
    except tomllib.TOMLDecodeError as cause:
        raise _syntax_fault(path, text, str(cause)) from None
    except (ValueError, RecursionError):  # an integer of thousands of digits; lists within lists within lists
        raise file_fault(
            path,
            "the file holds a number of thousands of digits, or lists nested too deeply",
            code="not_toml",
            todo="mend the value",
        ) from None
    _check_schema(path, table)
    return table


# pydantic's kinds of fault -> what to tell of them, and which of its details is what is allowed.
_WORDING = {
    "extra_forbidden": ("this key is not known", None),
    "missing": ("this key is missing", None),
    "finite_number": ("this is no number", "a finite number"),
    "float_type": ("this is no number", "a number"),
    "int_type": ("this is no whole number", "a whole number"),
    "int_from_float": ("this is no whole number", "a whole number"),
    "bool_type": ("this is neither true nor false", "true or false"),
    "string_type": ("this is no text", 'a text, "in quotes"'),
    "list_type": ("this is no list", "a list, [in brackets]"),
    "dict_type": ("this is no table", "a table"),
    "model_type": ("this is no table", "a table"),
    "literal_error": ("this is not one of the words known here", "{expected}"),
    "greater_than": ("the number is too small", "over {gt:g}"),
    "greater_than_equal": ("the number is too small", "{ge:g} or more"),
    "less_than": ("the number is too large", "under {lt:g}"),
    "less_than_equal": ("the number is too large", "{le:g} or less"),
    "multiple_of": ("this is no whole number", "a whole number"),
    "too_short": ("the list is too short", "{min_length} or more in it"),
    "string_pattern_mismatch": ("the text has not the form asked for", "{pattern}"),
}
_OURS = "Value error, "
"""How pydantic begins what a validator of ours says."""


def _worded(item: ErrorDetails) -> tuple[str, str | None]:
    """What is wrong and what is allowed, in our words."""
    what, allowed = _WORDING.get(item["type"], (item["msg"].removeprefix(_OURS), None))
    return what, None if allowed is None else allowed.format(**item.get("ctx", {}))


def model_faults(path: Path, error: ValidationError) -> InputFaults:
    """The faults pydantic found, in our words: file, key, what was wrong, what stood there."""
    faults = []
    for item in error.errors(include_url=False):
        what, allowed = _worded(item)
        faults.append(
            Fault(
                code=f"setting_{item['type']}",
                severity=Severity.FILE,
                what=what,
                file=str(path),
                field=".".join(str(part) for part in item["loc"]) or None,
                got=None if item["type"] == "missing" or not item["loc"] else repr(item["input"]),
                allowed=allowed,
                todo="compare with the file of that name that came with the program",
            )
        )
    return InputFaults(faults)
