"""Reading a settings file: TOML in, plain tables or one clear fault out."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ConfigDict, ValidationError

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


def read_table(path: Path) -> Table:
    """The tables of a TOML file of our schema, without the ``schema`` key.

    Raises
    ------
    InputFaults
        The file is missing, not UTF-8, not TOML, or of a schema this version does not know.
    """
    try:
        table: Table = tomllib.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        raise file_fault(
            path, "the file is not there", code="file_missing", todo="put it back or name another folder"
        ) from None
    except (UnicodeDecodeError, tomllib.TOMLDecodeError) as cause:
        raise file_fault(
            path, f"the file is not TOML: {cause}", code="not_toml", todo="mend the line named"
        ) from None
    schema = table.pop("schema", None)
    if schema != SCHEMA:
        raise file_fault(
            path,
            "the file's schema is not one this version reads",
            code="schema_unknown",
            got=repr(schema),
            todo=f"write schema = {SCHEMA}, or use a newer reach-atlas",
        )
    return table


_WORDING = {
    "extra_forbidden": "this key is not known",
    "missing": "this key is missing",
}


def model_faults(path: Path, error: ValidationError) -> InputFaults:
    """The faults pydantic found, in our words: file, key, what was wrong, what stood there."""
    return InputFaults(
        [
            Fault(
                code=f"setting_{item['type']}",
                severity=Severity.FILE,
                what=_WORDING.get(item["type"], item["msg"]),
                file=str(path),
                field=".".join(str(part) for part in item["loc"]),
                got=None if item["type"] == "missing" else repr(item["input"]),
                todo="compare with the file of that name that came with the program",
            )
            for item in error.errors(include_url=False)
        ]
    )
