"""A QR code as runs of black squares."""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING

import segno

from atlas.faults import BlockOverrun, PageError
from atlas.paper.boxes import QrCode

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from atlas.paper.boxes import Box

__all__ = ["LEAST_MODULE_MM", "qr_code"]

LEAST_MODULE_MM = 0.35
"""Least side of one square that a telephone reads through laminate. Common practice, no source."""

_RIM = 4  # modules of white round the code: ISO/IEC 18004, 9.1
_MASK = 2  # any of the eight is valid (ISO/IEC 18004, 7.8); choosing the prettiest costs five times as much


def _runs(row: int, squares: Sequence[int]) -> Iterator[tuple[int, int, int]]:
    column = 0
    for black, group in groupby(squares):
        length = len(list(group))
        if black:
            yield row, column, length
        column += length


def qr_code(payload: str, box: Box, *, block: str) -> QrCode:
    """QR code of a text in a square box, white rim included, error correction level M or better.

    Raises
    ------
    BlockOverrun
        Its squares would be too small to be read.
    PageError
        The text is longer than any QR code holds, or the box is no square.
    """
    if abs(box.width_mm - box.height_mm) > 1e-6:
        raise PageError(f"block '{block}': a QR code needs a square box")
    try:
        code = segno.make_qr(payload, error="m", mask=_MASK)
    except segno.DataOverflowError as error:
        raise PageError(f"block '{block}': {len(payload)} characters are too many for a QR code") from error
    rows = [list(map(int, row)) for row in code.matrix_iter(border=_RIM)]
    modules = len(rows)
    missing_mm = modules * LEAST_MODULE_MM - box.width_mm
    if missing_mm > 0:
        raise BlockOverrun(block, missing_mm, f"QR code of {len(payload)} characters")
    runs = tuple(run for number, row in enumerate(rows) for run in _runs(number, row))
    return QrCode(box=box, payload=payload, modules=modules, runs=runs, block=block)
