"""One site's plan on one page: laid out in millimetres from a template, then drawn.

`layout` decides everything; `page_pdf` draws a laid-out page and holds it against the rules of print.
"""

from atlas.sheets.sheet import layout, page_pdf, sheet_pdf

__all__ = ["layout", "page_pdf", "sheet_pdf"]
