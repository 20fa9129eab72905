"""A finished page looked at: as a picture, and as strings with their places."""

from __future__ import annotations

from contextlib import closing
from dataclasses import dataclass
from io import BytesIO

import numpy as np
import pypdfium2
from PIL import Image
from pypdfium2 import raw

from atlas.paper.fonts import MM_PER_PT

__all__ = ["FoundText", "png", "text_with_positions"]


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundText:
    """One string as it stands on a finished page: where its baseline begins, and its size."""

    page: int
    text: str
    x_mm: float
    y_mm: float
    size_pt: float


def _with_palette(picture: Image.Image, colours: int) -> Image.Image:
    """The commonest colours as they are, so that every ink of the page is; the soft edges to the nearest.

    Pillow's own choice of a palette averages neighbours: an orange signal word came out yellow.
    """
    pixels = np.asarray(picture.convert("RGB"))
    found, which, counts = np.unique(pixels.reshape(-1, 3), axis=0, return_inverse=True, return_counts=True)
    palette = found[np.argsort(-counts, kind="stable")[:colours]].astype(np.int64)
    apart = ((found[:, np.newaxis, :] - palette) ** 2).sum(axis=2)
    nearest = apart.argmin(axis=1).astype(np.uint8)
    flat = Image.fromarray(nearest[which].reshape(pixels.shape[:2]))
    flat.putpalette(palette.astype(np.uint8).tobytes())
    return flat


def png(pdf: bytes, *, dpi: float, page: int = 0, colours: int | None = None) -> bytes:
    """Picture of a page (counted from 0) as PNG; with a palette of so many colours a third of the size."""
    with closing(pypdfium2.PdfDocument(pdf)) as document:
        picture = document[page].render(scale=dpi / 72).to_pil()
    if colours is not None:
        picture = _with_palette(picture, colours)
    target = BytesIO()
    picture.save(target, format="PNG", dpi=(dpi, dpi))
    return target.getvalue()


def _page_texts(page: pypdfium2.PdfPage, number: int) -> list[FoundText]:
    height_pt = page.get_height()
    words = page.get_textpage()
    found = []
    for item in page.get_objects(filter=[raw.FPDF_PAGEOBJ_TEXT], textpage=words):
        matrix = item.get_matrix()
        found.append(
            FoundText(
                page=number,
                text=item.extract(),
                x_mm=matrix.e * MM_PER_PT,
                y_mm=(height_pt - matrix.f) * MM_PER_PT,
                size_pt=item.get_font_size(),
            )
        )
    return found


def text_with_positions(pdf: bytes) -> tuple[FoundText, ...]:
    """Every string drawn on every page, in the order drawn."""
    with closing(pypdfium2.PdfDocument(pdf)) as document:
        return tuple(found for number, page in enumerate(document) for found in _page_texts(page, number))
