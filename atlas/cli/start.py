"""`start`: a copy of the demo county and the templates, to begin one's own with."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from atlas.cli.options import DebugOption
from atlas.cli.outcome import finish

__all__ = ["start"]

FolderArgument = Annotated[Path, typer.Argument(metavar="FOLDER", help="A new or empty folder.")]


def start(folder: FolderArgument, debug: DebugOption = False) -> None:
    """Copy the invented county to begin with."""
    finish(lambda _: _start(folder), debug=debug)


def _refuse_full(folder: Path) -> None:
    from atlas.faults import UsageError

    if folder.is_symlink() or (folder.exists() and not folder.is_dir()):
        raise UsageError(f"{folder}: is a file or a link; name a new or empty folder")
    if folder.is_dir() and any(folder.iterdir()):
        raise UsageError(f"{folder}: is not empty, and nothing in it is written over; name a new folder")


def _copy(folder: Path) -> None:
    """Copied beside and renamed in: there is a whole beginning, or none."""
    import os
    import shutil

    from atlas.editions import cannot_write
    from atlas.settings import demo_county_folder, shipped_folder

    beside = folder.with_name(f".{folder.name}.beginning-{os.getpid()}")
    unseen = shutil.ignore_patterns(".*", "__pycache__")
    try:
        try:
            shutil.copytree(demo_county_folder(), beside, ignore=unseen)
            shutil.copytree(shipped_folder("templates"), beside / "templates", ignore=unseen)
            if folder.is_dir():
                folder.rmdir()
            beside.rename(folder)
        finally:
            shutil.rmtree(beside, ignore_errors=True)
    except OSError as cause:
        raise cannot_write(folder, cause) from None


def _start(folder: Path) -> None:
    from atlas.cli.console import result

    _refuse_full(folder)
    _copy(folder)
    result(
        f"{folder}: the invented county and the templates, to be made your own.\n"
        "\n"
        f"1. {folder}/county.toml: your county, its reaches, the day of issue; take out `invented = true`\n"
        f"2. {folder}/caches.toml: your agencies and their ropes\n"
        f"3. {folder}/surveys/: your surveys in the place of the invented ones\n"
        f"4. {folder}/templates/policy.toml: your agency's limits; delete every template you do not change\n"
        "\n"
        f"reach-atlas check --county {folder}\n"
        f"reach-atlas binder --county {folder}"
    )
