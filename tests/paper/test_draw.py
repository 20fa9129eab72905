from __future__ import annotations

import hashlib
import os
import subprocess
import sys
from io import BytesIO
from pathlib import Path

import pikepdf
import pypdfium2
import pytest
from pypdfium2 import raw

from atlas import paper
from atlas.paper import Align, Face, Text, TextStyle

DRAW_ELSEWHERE = """
import hashlib, importlib.util, sys
from atlas import paper
spec = importlib.util.spec_from_file_location("trial", sys.argv[1])
trial = importlib.util.module_from_spec(spec)
spec.loader.exec_module(trial)
fonts = paper.shipped_fonts()
print(hashlib.sha256(paper.draw([trial.lay_trial(fonts)], fonts)).hexdigest())
"""


@pytest.mark.parametrize("seed", ["0", "4711"])
def test_other_processes_and_hash_seeds_draw_the_same_bytes(seed, trial_pdf):
    conftest = Path(__file__).with_name("conftest.py")
    environment = {**os.environ, "PYTHONHASHSEED": seed, "TZ": "Pacific/Auckland", "LC_ALL": "C"}
    done = subprocess.run(
        [sys.executable, "-c", DRAW_ELSEWHERE, str(conftest)],
        env=environment, capture_output=True, text=True, check=True,
    )  # fmt: skip
    assert done.stdout.strip() == hashlib.sha256(trial_pdf).hexdigest()


def test_every_text_stands_where_it_was_laid(trial, trial_pdf, fonts):
    """Read back with pdfium: same strings, same order, baselines within a hundredth of a millimetre."""
    laid = [item for item in trial.items if isinstance(item, Text)]
    found = paper.text_with_positions(trial_pdf)
    assert [item.text.strip() for item in laid] == [item.text.strip() for item in found]
    for item, seen in zip(laid, found, strict=True):
        if item.angle_deg == 0:
            left_mm = item.x_mm - item.align.share * fonts.width_mm(item.text, item.style)
            assert (seen.x_mm, seen.y_mm) == pytest.approx((left_mm, item.y_mm), abs=0.01)
        assert seen.size_pt == pytest.approx(item.style.size_pt)


def pdfium_bounds(pdf: bytes):
    """Ink boxes of the texts of a page as another program sees them [mm, y downward]."""
    document = pypdfium2.PdfDocument(pdf)
    page = document[0]
    high_pt = page.get_height()
    for item in page.get_objects(filter=[raw.FPDF_PAGEOBJ_TEXT]):
        left, bottom, right, top = item.get_bounds()
        yield tuple(edge * paper.MM_PER_PT for edge in (left, high_pt - top, right, high_pt - bottom))
    document.close()


def test_the_boxes_that_are_checked_hold_the_ink_that_is_drawn(trial, trial_pdf, fonts):
    laid = [item for item in trial.items if isinstance(item, Text)]
    for item, (left, top, right, bottom) in zip(laid, pdfium_bounds(trial_pdf), strict=True):
        box = paper.bounds(item, fonts)
        side_mm = 0.05 * item.style.size_pt * paper.MM_PER_PT  # italics lean, and glyphs have side bearings
        assert box.left_mm - side_mm < left
        assert right < box.right_mm + side_mm
        assert box.top_mm - 0.02 < top
        assert bottom < box.bottom_mm + 0.02
        if item.angle_deg == 0:  # and the boxes are no larger than the ink
            assert (top, bottom) == pytest.approx((box.top_mm, box.bottom_mm), abs=0.02)


@pytest.mark.parametrize("align", list(Align))
@pytest.mark.parametrize("angle_deg", [90, -30])
def test_turned_text_is_aligned_along_its_own_direction(align, angle_deg, small_page, fonts):
    style = TextStyle(face=Face.BOLD, size_pt=12)
    text = Text(x_mm=50, y_mm=30, text="HHHH", style=style, align=align, angle_deg=angle_deg)
    ((left, top, right, bottom),) = pdfium_bounds(paper.draw([small_page(text)], fonts))
    box = paper.bounds(text, fonts)
    bearing_mm = 0.09 * 12 * paper.MM_PER_PT  # beside the stem of H
    expected = (box.left_mm, box.top_mm, box.right_mm, box.bottom_mm)
    assert (left, top, right, bottom) == pytest.approx(expected, abs=bearing_mm)


@pytest.mark.parametrize("size", ["letter", "a4"])
def test_paper_sizes_reach_the_file(size, fonts):
    width_mm, height_mm = paper.PAPER_SIZES_MM[size]
    whole = paper.printable_box(width_mm=width_mm, height_mm=height_mm, edge_mm=6, punch_mm=17)
    page = paper.Page(width_mm=width_mm, height_mm=height_mm, printable=whole, items=(), title="", lang="en")
    with pikepdf.open(BytesIO(paper.draw([page], fonts))) as document:
        # ISO A4 is 595.276 x 841.890 points, Letter 612 x 792
        wanted = {"letter": (612, 792), "a4": (595.276, 841.890)}[size]
        assert [float(edge) for edge in document.pages[0].mediabox] == pytest.approx(
            [0, 0, *wanted], abs=1e-3
        )


def test_every_font_is_embedded_and_there_is_no_helvetica(trial_pdf):
    with pikepdf.open(BytesIO(trial_pdf)) as document:
        fonts = dict(document.pages[0].resources.Font.items())
        assert len(fonts) == 5
        assert all("/FontFile2" in font.FontDescriptor for font in fonts.values())
        everything = b"".join(
            item.unparse(resolved=True) for item in document.objects if not isinstance(item, pikepdf.Stream)
        )
        assert b"Helvetica" not in everything
        assert b"IBMPlexSansCond" in everything


def test_title_language_and_nobodys_name(trial_pdf):
    with pikepdf.open(BytesIO(trial_pdf)) as document:
        assert str(document.docinfo.Title) == "OT-03 Château Élise ford"
        assert str(document.Root.Lang) == "en-US"
        assert set(document.docinfo.keys()) == {"/Title"}
        with document.open_metadata() as metadata:
            assert metadata["dc:title"] == "OT-03 Château Élise ford"
            assert list(metadata["dc:language"]) == ["en-US"]


def test_streams_are_deflated_and_nothing_else(trial_pdf):
    with pikepdf.open(BytesIO(trial_pdf)) as document:
        streams = [item for item in document.objects if isinstance(item, pikepdf.Stream)]
        plain = [item for item in streams if "/Filter" not in item]
        deflated = {str(item.Filter[0]) for item in streams if "/Filter" in item}
    assert deflated == {"/FlateDecode"}
    assert [str(item.Type) for item in plain] == ["/Metadata"]  # so that a search can read it as it lies


def test_several_pages_in_one_file(trial, small_page, fonts):
    pdf = paper.draw([trial, small_page()], fonts)
    with pikepdf.open(BytesIO(pdf)) as document:
        assert [float(page.mediabox[3]) for page in document.pages] == pytest.approx([792, 170.079], abs=1e-3)


def test_markup_in_a_text_is_only_text(small_page, fonts):
    """A name from a survey is drawn letter by letter, whatever it looks like."""
    text = '<b>ford</b> <img src="x.png"/> \\( ) %&amp;'
    item = Text(x_mm=10, y_mm=20, text=text, style=TextStyle(face=Face.REGULAR, size_pt=8))
    (found,) = paper.text_with_positions(paper.draw([small_page(item)], fonts))
    assert found.text == text


def test_characters_of_a_fallback_file_are_drawn_from_it(small_page):
    import reportlab  # noqa: PLC0415 -- its bundled face serves this one test

    book = paper.FontBook(fallback=[Path(reportlab.__file__).parent / "fonts" / "Vera.ttf"])
    item = Text(x_mm=10, y_mm=20, text="10 Ω x", style=TextStyle(face=Face.BOLD, size_pt=10))
    found = paper.text_with_positions(paper.draw([small_page(item)], book))
    assert [part.text.strip() for part in found] == ["10", "Ω", "x"]
    assert found[2].x_mm == pytest.approx(10 + book.width_mm("10 Ω", item.style), abs=0.01)


def ink_share(png: bytes) -> float:
    from PIL import Image  # noqa: PLC0415 -- reportlab's own part; only pictures need it

    picture = Image.open(BytesIO(png)).convert("L")
    histogram = picture.histogram()
    return sum(histogram[:128]) / sum(histogram)


def test_rings_leave_their_inside_empty_and_dashes_leave_gaps(small_page, fonts):
    outer = ((20, 10), (60, 10), (60, 50), (20, 50))
    inner = ((30, 20), (50, 20), (50, 40), (30, 40))
    area = paper.Area(rings=(outer, inner), fill=paper.BLACK)
    picture = paper.png(paper.draw([small_page(area)], fonts), dpi=72)
    assert ink_share(picture) == pytest.approx((40 * 40 - 20 * 20) / (100 * 60), abs=0.01)
    dashed = paper.Line(
        x1_mm=10, y1_mm=30, x2_mm=90, y2_mm=30, stroke=paper.Stroke(weight_mm=10, dash_mm=(3.0, 1.0))
    )
    picture = paper.png(paper.draw([small_page(dashed)], fonts), dpi=254)
    assert ink_share(picture) == pytest.approx(0.75 * 80 * 10 / (100 * 60), abs=0.002)


def test_a_page_drawn_in_grey_has_no_colour(trial, fonts):
    from PIL import Image  # noqa: PLC0415 -- reportlab's own part; only pictures need it

    picture = Image.open(BytesIO(paper.png(paper.draw([paper.grey_page(trial)], fonts), dpi=50)))
    red, green, blue = picture.convert("RGB").split()
    assert red.tobytes() == green.tobytes() == blue.tobytes()
