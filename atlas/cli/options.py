"""Options that several commands take."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

__all__ = ["AsOfOption", "CountyOption", "DebugOption", "OutOption", "SiteArgument", "WithoutOption"]

CountyOption = Annotated[
    Path | None,
    typer.Option(
        metavar="FOLDER",
        help="The county's folder. Left out: the only folder under ./sites, else the invented county"
        " that ships with the program.",
    ),
]
OutOption = Annotated[Path, typer.Option(metavar="FOLDER", help="Where to put what is made.")]
AsOfOption = Annotated[
    str | None,
    typer.Option(metavar="DATE", help="Today, like 2026-11-25. Left out: the day the county was issued."),
]
DebugOption = Annotated[bool, typer.Option("--debug", help="Show what goes on, and tracebacks.")]
SiteArgument = Annotated[str, typer.Argument(metavar="SITE", help="The site's code, like OT-03.")]
WithoutOption = Annotated[
    list[str] | None,
    typer.Option(
        "--without",
        metavar="AGENCY",
        help="Who is called as if this agency were committed elsewhere; again for another.",
    ),
]
