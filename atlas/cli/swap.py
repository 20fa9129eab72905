"""`swap`: which pages to take out, put in and replace from one edition to the next, and why."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from atlas.cli.options import DebugOption, OutOption
from atlas.cli.outcome import Outcome, finish

if TYPE_CHECKING:
    from collections.abc import Iterator

    from atlas.editions.swap import Swap
    from atlas.paper.press import Press
    from atlas.settings import Settings, Words

__all__ = ["swap"]

OldArgument = Annotated[Path, typer.Argument(metavar="OLD", help="Folder of the edition in the binder.")]
NewArgument = Annotated[Path, typer.Argument(metavar="NEW", help="Folder of the edition to come.")]
WordingOption = Annotated[
    Path | None,
    typer.Option("--county", metavar="FOLDER", help="The county whose wording and page the list has."),
]


def swap(
    old: OldArgument,
    new: NewArgument,
    county: WordingOption = None,
    out: OutOption = Path("output"),
    debug: DebugOption = False,
) -> None:
    """List the pages to take out, put in and replace, with the reasons.

    Writes a checklist to tick, and a file of the pages to print and no others.
    """
    finish(lambda outcome: _swap(outcome, old, new, county, out), debug=debug)


def _swap(_: Outcome, old: Path, new: Path, county: Path | None, out: Path) -> None:
    from atlas.cli.console import result
    from atlas.editions import read_edition, write_file
    from atlas.editions.swap import checklist_pdf, compare, print_pdf
    from atlas.settings import load_settings

    settings = load_settings(county=county) if county is not None else load_settings()
    found = compare(read_edition(old), read_edition(new), settings.words)
    name = f"swap-{found.old.name}-{found.new.name}"
    press = _press(found, settings)
    written = [write_file(out / f"{name}.pdf", checklist_pdf(found, press))]
    pages = print_pdf(found, settings.words)
    if pages is not None:
        written.append(write_file(out / f"{name}-print.pdf", pages))
    for line in _lines(found, settings.words):
        result(line)
    for path in written:
        result(str(path))


def _press(found: Swap, settings: Settings) -> Press:
    """The looks of the new edition's sheets."""
    from atlas.paper.looks import looks_of
    from atlas.paper.press import Press
    from atlas.records import County
    from atlas.settings.page import read_page_template

    new = found.new
    template = read_page_template(settings.template_path(f"sheet-{new.paper}.toml"))
    told = County(
        folder=new.place.name, name=new.county, issued=None, edition=new.name, paper=new.paper,
        units=new.units, reaches=(),
    )  # fmt: skip
    return Press(words=settings.words, template=template, looks=looks_of(template), county=told)


def _lines(found: Swap, words: Words) -> Iterator[str]:
    """The list for the terminal."""
    for change in found.changes:
        head = " ".join(filter(None, (words(f"swap.step.{change.step.value}"), change.label, change.name)))
        yield f"{head}: {'; '.join(change.reasons)}" if change.reasons else head
    if not found.changes:
        yield words("swap.nothing")
    for late in found.overdue:
        yield (
            f"{words('swap.overdue')}: {late.code} {late.name}, {words('swap.surveyed')}"
            f" {late.surveyed.isoformat()}, {words('swap.months', count=late.months)}"
        )
