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
    raise _missing(inside, f"the program came without its folder '{name}'")


def _missing(folder: Path, what: str) -> InputFaults:
    return InputFaults(
        [
            Fault(
                code="shipped_data_missing",
                severity=Severity.FILE,
                what=what,
                file=str(folder),
                todo="install reach-atlas again from its wheel, its source archive or a checkout",
            )
        ]
    )


def demo_county_folder() -> Path:
    """The invented county that ships with the program.

    Raises
    ------
    InputFaults
        The program came without it.
    """
    sites = shipped_folder("sites")
    for folder in sorted(sites.iterdir()):
        if (folder / "county.toml").is_file():
            return folder
    raise _missing(sites, "the program came without its invented county")
