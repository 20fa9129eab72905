"""Where the templates and the demo county are: inside an installed package, else in the checkout."""

from __future__ import annotations

import tomllib
from pathlib import Path

from atlas.faults import Fault, InputFaults, Severity

_PACKAGE = Path(__file__).resolve().parent.parent


def shipped_folder(name: str) -> Path:
    """Folder `name` (``templates`` or ``sites``) that came with the program.

    Raises
    ------
    InputFaults
        Neither the package nor a checkout around it holds the folder.
    """
    inside = _PACKAGE / "shipped_data" / name
    if inside.is_dir():
        return inside
    checkout = _PACKAGE.parent
    project = checkout / "pyproject.toml"
    if project.is_file():
        declared = tomllib.loads(project.read_text(encoding="utf-8")).get("project", {})
        if declared.get("name") == "reach-atlas" and (checkout / name).is_dir():
            return checkout / name
    raise InputFaults(
        [
            Fault(
                code="shipped_data_missing",
                severity=Severity.FILE,
                what=f"the program came without its folder '{name}'",
                file=str(inside),
                todo="install reach-atlas again from its wheel, its source archive or a checkout",
            )
        ]
    )


def demo_county_folder() -> Path:
    """The invented county that ships with the program."""
    return next(folder for folder in sorted(shipped_folder("sites").iterdir()) if folder.is_dir())
