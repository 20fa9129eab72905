"""Sections of a derivation on the terminal: ruled tables there, plain columns in a pipe or a file."""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator, Sequence

from atlas.cli.console import cleaned, result
from atlas.workings import Section

__all__ = ["plain_lines", "show_sections"]

_WIDE = 500
_NUMBER = re.compile(r"-|[-+]?[0-9.]+( [^ ]+)?")


def _is_figures(column: Sequence[str]) -> bool:
    """Numbers only, and so set at the right."""
    return all(_NUMBER.fullmatch(cell) or not cell for cell in column) and any(column)


def _table_lines(section: Section) -> Iterator[str]:
    rows = [section.head, *section.rows]
    columns = list(zip(*rows, strict=True))
    widths = [max(map(len, column)) for column in columns]
    right = [_is_figures(column[1:]) for column in columns]
    for row in rows:
        cells = [
            cell.rjust(width) if figures else cell.ljust(width)
            for cell, width, figures in zip(row, widths, right, strict=True)
        ]
        yield f"  {'  '.join(cells)}".rstrip()


def plain_lines(sections: Sequence[Section]) -> Iterator[str]:
    """Every section as lines of text, columns under each other."""
    for number, section in enumerate(sections):
        if number:
            yield ""
        yield section.title
        yield from (f"  {note}" for note in section.notes)
        if section.rows:
            yield from _table_lines(section)


def _show_on_terminal(sections: Sequence[Section]) -> None:
    from rich.console import Console
    from rich.table import Table
    from rich.text import Text

    # wider than any table, so that nothing is cut: a narrow terminal breaks the lines itself
    console = Console(highlight=False, width=_WIDE, soft_wrap=True)
    for section in sections:
        console.print(Text(cleaned(section.title), style="bold"))
        for note in section.notes:
            console.print(Text(cleaned(f"  {note}")))
        if section.rows:
            table = Table(box=None, pad_edge=False, header_style="dim", padding=(0, 2, 0, 2))
            columns = zip(*section.rows, strict=True)
            for name, column in zip(section.head, columns, strict=True):
                table.add_column(Text(name), justify="right" if _is_figures(column) else "left")
            for row in section.rows:
                table.add_row(*(Text(cleaned(cell)) for cell in row))
            console.print(table)
        console.print()


def show_sections(sections: Sequence[Section]) -> None:
    """Print every section on stdout."""
    if sys.stdout.isatty():
        _show_on_terminal(sections)
    else:
        for line in plain_lines(sections):
            result(line)
