"""`sheet`: the one-page PDF of each site asked for."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from atlas.cli.options import AsOfOption, CountyOption, DebugOption, OutOption
from atlas.cli.outcome import Outcome, finish

__all__ = ["sheet"]

SitesArgument = Annotated[list[str], typer.Argument(metavar="SITE...", help="Codes of sites, like OT-03.")]
PngOption = Annotated[bool, typer.Option("--png", help="A picture of each page too.")]
GreyOption = Annotated[bool, typer.Option("--grey", help="For a black-and-white printer.")]
PICTURE_DPI = 150
PICTURE_COLOURS = 256
"""A page has a dozen colours; the rest are the soft edges of its letters."""


def sheet(
    sites: SitesArgument,
    png: PngOption = False,
    grey: GreyOption = False,
    county: CountyOption = None,
    out: OutOption = Path("output"),
    as_of: AsOfOption = None,
    debug: DebugOption = False,
) -> None:
    """Print the one-page sheet of each site."""
    finish(lambda outcome: _sheet(outcome, sites, county, out, as_of, png=png, grey=grey), debug=debug)


def _sheet(
    outcome: Outcome,
    sites: list[str],
    county: Path | None,
    out: Path,
    as_of: str | None,
    *,
    png: bool,
    grey: bool,
) -> None:
    from dataclasses import replace

    from atlas.cli.console import result
    from atlas.cli.county import read_everything
    from atlas.cli.sites import make_asked, sites_asked
    from atlas.editions import write_file
    from atlas.paper import grey_page
    from atlas.paper import png as picture
    from atlas.sheets.sheet import page_pdf

    reading = read_everything(county, as_of)
    inputs = reading.complete()
    asked = sites_asked(outcome, inputs, reading.faults, sites)
    for made in make_asked(outcome, inputs, asked):
        name = f"{made.code}-grey" if grey else made.code
        pdf = page_pdf(grey_page(made.page), inputs.template) if grey else made.pdf
        filed = replace(made, pdf=pdf).filed
        result(str(write_file(out / f"{name}.pdf", filed)))
        if png:
            seen = picture(pdf, dpi=PICTURE_DPI, colours=PICTURE_COLOURS)
            result(str(write_file(out / f"{name}.png", seen)))
