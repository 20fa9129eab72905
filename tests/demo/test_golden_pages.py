"""Four demo sheets as they were last looked at: numbers by text and place, layout by picture.

A change that is meant: `python tests/demo/golden_pages.py` lays every changed page beside its golden;
`python tests/demo/golden_pages.py --write` takes the new ones, and makes the README's picture again.
"""

import importlib.util
from pathlib import Path

import pytest
from PIL import Image

from atlas.paper import page_hash
from atlas.sheets import layout, page_pdf

_SPEC = importlib.util.spec_from_file_location("golden_pages", Path(__file__).with_name("golden_pages.py"))
goldens = importlib.util.module_from_spec(_SPEC)
_SPEC.loader.exec_module(goldens)

AGAIN = "look with tests/demo/golden_pages.py, then make them again with --write"
DIFFERS_MOST = 0.01
"""Share of pixels: another machine's renderer rounds edges otherwise; a moved block is several times this."""


@pytest.fixture(scope="module")
def printed(plans):
    """Site code -> its page and PDF."""
    template, settings = goldens.page_template()
    pages = {code: layout(plans[code], template, settings.words) for code in goldens.SITES}
    return {code: (page, page_pdf(page, template)) for code, page in pages.items()}


@pytest.mark.parametrize("code", goldens.SITES)
def test_every_string_stands_where_it_was_last_seen(printed, code):
    texts, _ = goldens.golden(code)
    assert goldens.texts_of(printed[code][1]) == texts, AGAIN


@pytest.mark.parametrize("code", goldens.SITES)
def test_the_page_looks_as_it_was_last_seen(printed, code):
    _, picture = goldens.golden(code)
    assert goldens.differing(picture, goldens.raster_of(printed[code][1])) < DIFFERS_MOST, AGAIN


def test_a_moved_block_is_seen(printed):
    """The comparison itself: a page a millimetre lower, and another site's, are not the same."""
    picture = goldens.raster_of(printed["OT-03"][1])
    moved = Image.new("L", picture.size, 255)
    moved.paste(picture, (0, 2))
    assert goldens.differing(picture, picture) == 0.0
    assert goldens.differing(picture, moved) > DIFFERS_MOST
    assert goldens.differing(picture, goldens.raster_of(printed["WEN-05"][1])) > DIFFERS_MOST


def test_the_readmes_picture_is_the_sheet_of_today(printed):
    with Image.open(goldens.PICTURE) as picture:
        assert picture.text.get(goldens.HASH) == page_hash(printed[goldens.PICTURED][0]), AGAIN
