"""The derivation on paper: every number with its source, every formula with its numbers, to be signed.

`derive` writes the derivation down as data, `recompute` works every line out again from what is printed,
and the rest lays it out on pages.
"""

from atlas.workings.paper.derive import Derivation, derive
from atlas.workings.paper.pages import workings_pages, workings_pdf

__all__ = ["Derivation", "derive", "workings_pages", "workings_pdf"]
