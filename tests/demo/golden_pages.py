"""Golden pages of four demo sites: look at what changed, and make them and the README's picture again.

    python tests/demo/golden_pages.py            every changed page beside its golden, in output/goldens/
    python tests/demo/golden_pages.py --write    take the pages as they are now for golden

Numbers are held by text and place, which no picture shows: one changed digit moves a thousandth of the
pixels. The layout is held by a picture of one renderer, coarse enough for another machine's rounding.
"""

import json
import sys
from io import BytesIO
from pathlib import Path

import numpy as np
from PIL import Image
from PIL.PngImagePlugin import PngInfo

from atlas.caches import read_county
from atlas.paper import page_hash, png, text_with_positions
from atlas.plan import plan_site
from atlas.settings import load_settings
from atlas.settings.page import read_page_template
from atlas.sheets import layout, page_pdf
from atlas.survey import read_sites

ROOT = Path(__file__).resolve().parents[2]
COUNTY = ROOT / "sites" / "quillmarsh"
GOLDENS = Path(__file__).with_name("goldens")
PICTURE = ROOT / "output" / "sample-sheet.png"
PICTURED = "OT-03"
SITES = (PICTURED, "OT-06", "PC-03", "WEN-05")
"""One as most are; outside plan with a limit; stations not surveyed; outside plan whatever the speed."""
DPI = 40
PICTURE_DPI = 150
PICTURE_COLOURS = 256
HASH = "page"
"""Key of the page's hash in the picture."""


def page_template():
    """The demo county's page template, and the settings it came with."""
    settings = load_settings(county=COUNTY)
    return read_page_template(settings.template_path("sheet-letter.toml")), settings


def texts_of(pdf):
    """Every string of a page with its place to a tenth of a millimetre, as read back from the PDF."""
    found = [[text.text, round(text.x_mm, 1), round(text.y_mm, 1)] for text in text_with_positions(pdf)]
    return [one for one in found if one[0].strip()]


def raster_of(pdf):
    """A page in grey, small."""
    return Image.open(BytesIO(png(pdf, dpi=DPI))).convert("L")


def differing(first, second):
    """Share of pixels that are more than a quarter of the way from white to black apart."""
    one, other = (np.asarray(picture, dtype=np.int16) for picture in (first, second))
    return 1.0 if one.shape != other.shape else float((abs(one - other) > 64).mean())


def golden(code):
    """What is kept of a site: its strings and its picture."""
    texts = json.loads((GOLDENS / f"{code}.json").read_text(encoding="utf-8"))
    return texts, Image.open(BytesIO((GOLDENS / f"{code}.png").read_bytes()))


def _pages():
    read = read_county(COUNTY)
    sites = read_sites(
        sorted((COUNTY / "surveys").iterdir()),
        county=read.county,
        agency_codes=frozenset(agency.code for agency in read.agencies),
        as_of=read.county.issued,
    ).sites
    template, settings = page_template()
    for site in sites:
        if site.code in SITES:
            plan = plan_site(
                site, county=read.county, agencies=read.agencies, settings=settings, as_of=read.county.issued
            )
            page = layout(plan, template, settings.words)
            yield site.code, page, page_pdf(page, template)


def _write(code, page, pdf):
    GOLDENS.mkdir(exist_ok=True)
    rows = ",\n".join(json.dumps(row, ensure_ascii=False) for row in texts_of(pdf))
    (GOLDENS / f"{code}.json").write_text(f"[\n{rows}\n]\n", encoding="utf-8")
    raster_of(pdf).save(GOLDENS / f"{code}.png", optimize=True)
    if code == PICTURED:
        told = PngInfo()
        told.add_text(HASH, page_hash(page))
        picture = Image.open(BytesIO(png(pdf, dpi=PICTURE_DPI, colours=PICTURE_COLOURS)))
        picture.save(PICTURE, pnginfo=told, dpi=(PICTURE_DPI, PICTURE_DPI), optimize=True)


def _beside(code, pdf):
    """A changed page beside its golden, and the strings that came and went."""
    texts, kept = golden(code)
    now = raster_of(pdf)
    gone = [row for row in texts if row not in texts_of(pdf)]
    new = [row for row in texts_of(pdf) if row not in texts]
    if not gone and not new and differing(kept, now) == 0.0:
        return
    folder = ROOT / "output" / "goldens"
    folder.mkdir(parents=True, exist_ok=True)
    large = Image.open(BytesIO(png(pdf, dpi=100))).convert("L")
    both = Image.new("L", (2 * large.width, large.height), 255)
    both.paste(kept.resize(large.size), (0, 0))
    both.paste(large, (large.width, 0))
    both.save(folder / f"{code}.png")
    print(f"{code}: {differing(kept, now):.2%} of the pixels; {folder / code}.png")  # noqa: T201 -- a script
    for sign, rows in (("-", gone), ("+", new)):
        for text, x_mm, y_mm in rows:
            print(f"  {sign} {x_mm:6.1f} {y_mm:6.1f}  {text}")  # noqa: T201 -- a script


def main():
    """Write, or show what changed."""
    write = "--write" in sys.argv[1:]
    for code, page, pdf in _pages():
        if write:
            _write(code, page, pdf)
        else:
            _beside(code, pdf)


if __name__ == "__main__":
    main()
