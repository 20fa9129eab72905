"""The commands together. What is imported here is imported for `--help` too, so nothing heavy is."""

from __future__ import annotations

import sys
from typing import Annotated

import typer

from atlas.cli.binder import binder
from atlas.cli.brief import brief
from atlas.cli.check import check
from atlas.cli.gauges import gauges
from atlas.cli.resurvey import resurvey
from atlas.cli.sheet import sheet
from atlas.cli.start import start
from atlas.cli.swap import swap
from atlas.cli.workings import workings

__all__ = ["app", "run"]

app = typer.Typer(
    name="reach-atlas",
    help="Surveyed river access points in, a county's binder of swiftwater rescue site sheets out. "
    "A planning aid: it does not command.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)


def _version(asked: bool) -> None:  # noqa: FBT001 -- typer hands a flag over
    if asked:
        from atlas import __version__
        from atlas.cli.console import result

        result(f"reach-atlas {__version__}")
        raise typer.Exit


@app.callback()
def _common(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Print the version and end.")
    ] = False,
) -> None:
    pass


for command in (check, workings, sheet, binder, swap, resurvey, brief, gauges, start):
    app.command()(command)


def run() -> None:
    """Run the command that the arguments name, and end the process with its exit code."""
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)  # a stream put in its place may lack it
        if reconfigure is not None:
            reconfigure(errors="backslashreplace")  # a terminal without some letter still gets the rest
    app(prog_name="reach-atlas")
