from __future__ import annotations

import struct
from io import BytesIO
from pathlib import Path

import pytest
import reportlab
from reportlab.pdfbase.ttfonts import TTFontFile, TTFontMaker

from atlas import paper
from atlas.faults import MissingGlyphs, PageError
from atlas.paper import MM_PER_PT, Face, FontBook, TextStyle

VERA = Path(reportlab.__file__).parent / "fonts" / "Vera.ttf"
"""A face with a capital omega, which the shipped one lacks."""


@pytest.fixture(scope="module")
def with_vera() -> FontBook:
    return FontBook(fallback=[VERA])


def altered(source: Path, **tables: bytes) -> bytes:
    """A TrueType file with tables replaced or added, its checksums right."""
    font = TTFontFile(BytesIO(source.read_bytes()))
    maker = TTFontMaker()
    for tag in font.table:
        maker.add(tag, font.get_table(tag))
    for tag, content in tables.items():
        maker.add("OS/2" if tag == "os2" else tag, content)
    return maker.makeStream()


@pytest.mark.parametrize("face", list(Face))
def test_every_cut_is_there_and_its_figures_are_tabular(face, fonts):
    ten_pt = TextStyle(face=face, size_pt=10)
    widths = [fonts.width_mm(figure, ten_pt) for figure in "0123456789"]
    # 540 units of 1000 an em in the file's hmtx table, read with another program (fontTools 4.68).
    assert widths == pytest.approx([5.40 * MM_PER_PT] * 10)


def test_widths_heights_and_ink_are_the_files_own(fonts):
    # hmtx, OS/2 and glyf of the regular cut in units of 1000 an em, read with fontTools 4.68.
    style = TextStyle(face=Face.REGULAR, size_pt=1000 / MM_PER_PT)  # so that millimetres are units
    assert fonts.width_mm("12.5", style) == pytest.approx(540 + 540 + 248 + 540)
    heights = fonts.heights(style)
    assert heights[:3] == pytest.approx((780, 220, 698))
    assert fonts.ink_mm("g", style) == pytest.approx((583, 212))
    assert fonts.ink_mm("Åx", style) == pytest.approx((976, 0))
    assert fonts.ink_mm(" ", style) == (0, 0)


def test_the_cuts_differ(fonts):
    widths = [fonts.width_mm("inside plan", TextStyle(face=face, size_pt=10)) for face in Face]
    assert len(set(widths)) == len(widths)


def test_every_sign_that_is_drawn_as_text_can_be_set(fonts):
    signs = "°·×±½¼¾²³–—‘’“”•…′″←↑→↓−≈≠≤≥ÄÅÉéñçßøłŻ€#&@"  # noqa: RUF001 -- the characters meant
    assert all(not fonts.missing_characters(signs, face) for face in Face)


def test_missing_characters_are_told_once_in_order(fonts):
    assert fonts.missing_characters("Δh, Δx, ☐, 漢", Face.BOLD) == ("Δ", "☐", "漢")
    assert fonts.missing_characters("e\N{COMBINING ACUTE ACCENT}", Face.BOLD) == ()
    assert fonts.missing_characters("no\N{NO-BREAK SPACE}break", Face.BOLD) == ()


LACKING = (
    "block 'head': the font has no glyph for {};"
    " add a TrueType file that has them to fonts.fallback in the page template"
)
HEBREW = "\N{HEBREW LETTER SHIN}\N{HEBREW LETTER LAMED}"
UNSET = (
    f"block 'head': '{HEBREW[0]}' (U+05E9), '{HEBREW[1]}' (U+05DC) must be joined, stacked or"
    " read from right to left, which is not done with any font, nor with one from fonts.fallback in"
    " the page template; give the text in letters that stand side by side from left to right"
)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("漢字 ford", LACKING.format("'漢' (U+6F22), '字' (U+5B57)")),
        (HEBREW, UNSET),
        ("Δ\x07", LACKING.format("'Δ' (U+0394)") + "; U+0007 cannot be printed; take it out"),
    ],
)
def test_the_error_names_block_characters_and_setting(text, message, fonts):
    with pytest.raises(MissingGlyphs) as caught:
        fonts.require(text, Face.REGULAR, "head")
    assert str(caught.value) == message


def test_a_fallback_file_serves_what_the_cut_lacks(with_vera, fonts):
    assert fonts.missing_characters("10 Ω", Face.BOLD) == ("Ω",)
    assert with_vera.missing_characters("10 Ω", Face.BOLD) == ()
    with_vera.require("10 Ω", Face.BOLD, "head")
    runs = with_vera.runs("10 Ω A", Face.BOLD)
    assert [run.text for run in runs] == ["10 ", "Ω", " A"]
    assert [run.font.path.name for run in runs[:2]] == ["IBMPlexSansCondensed-Bold.ttf", "Vera.ttf"]
    ten_pt = TextStyle(face=Face.BOLD, size_pt=10)
    assert with_vera.width_mm("Ω", ten_pt) == pytest.approx(7.64 * MM_PER_PT, abs=0.002)  # hmtx: 1565 of 2048


def test_a_fallback_file_does_not_help_right_to_left_text(with_vera):
    assert with_vera.missing_characters(HEBREW, Face.BOLD) == tuple(HEBREW)


def test_a_configured_cut_takes_the_place_of_the_shipped_one():
    swapped = FontBook({Face.ITALIC: paper.shipped_faces()[Face.BOLD]})
    size = TextStyle(face=Face.ITALIC, size_pt=10)
    assert swapped.width_mm("plan", size) == paper.shipped_fonts().width_mm(
        "plan", TextStyle(face=Face.BOLD, size_pt=10)
    )


def test_registering_again_is_the_same(trial, trial_pdf):
    assert paper.draw([trial], FontBook()) == trial_pdf


def test_two_files_of_one_name_do_not_share_glyphs(tmp_path, small_page):
    """Reportlab tells faces apart by their PostScript name alone: an altered copy drew the first one's."""
    bold = paper.shipped_faces()[Face.BOLD]
    regular = paper.shipped_faces()[Face.REGULAR]
    names = TTFontFile(BytesIO(bold.read_bytes())).get_table("name")
    (tmp_path / "alias.ttf").write_bytes(altered(regular, name=names))
    book = FontBook({Face.ITALIC: tmp_path / "alias.ttf"})
    text = {
        face: paper.Text(x_mm=10, y_mm=30, text="plan", style=TextStyle(face=face, size_pt=40))
        for face in (Face.BOLD, Face.ITALIC, Face.REGULAR)
    }
    pictures = {
        face: paper.png(paper.draw([small_page(text[face])], book), dpi=72)
        for face in (Face.BOLD, Face.ITALIC, Face.REGULAR)
    }
    assert pictures[Face.ITALIC] == pictures[Face.REGULAR] != pictures[Face.BOLD]


def font_error(path) -> str:
    with pytest.raises(PageError) as caught:
        FontBook({Face.REGULAR: path})
    return str(caught.value)


def test_a_missing_font_file_is_told(tmp_path):
    path = tmp_path / "none.ttf"
    assert font_error(path) == f"{path}: the font file cannot be read; No such file or directory"


@pytest.mark.parametrize("length", [0, 3, 11, 100, 5000, 60000])
def test_a_cut_font_file_is_told(length, tmp_path):
    path = tmp_path / "cut.ttf"
    path.write_bytes(paper.shipped_faces()[Face.REGULAR].read_bytes()[:length])
    assert font_error(path) == f"{path}: not a font that can be embedded; a static TrueType file is needed"


def test_a_damaged_font_file_is_told(tmp_path):
    data = bytearray(paper.shipped_faces()[Face.REGULAR].read_bytes())
    data[40_000] ^= 0xFF
    path = tmp_path / "damaged.ttf"
    path.write_bytes(data)
    assert font_error(path) == f"{path}: not a font that can be embedded; a static TrueType file is needed"


def test_outlines_of_another_kind_are_told(tmp_path):
    path = tmp_path / "postscript.otf"
    path.write_bytes(b"OTTO" + paper.shipped_faces()[Face.REGULAR].read_bytes()[4:])
    assert font_error(path) == f"{path}: not a font that can be embedded; a static TrueType file is needed"


def test_a_variable_font_is_told(tmp_path):
    path = tmp_path / "variable.ttf"
    path.write_bytes(altered(paper.shipped_faces()[Face.REGULAR], fvar=b"\0" * 16))
    assert font_error(path) == f"{path}: a variable font prints only its first cut; a static file is needed"


def test_a_font_that_may_not_be_embedded_is_told(tmp_path):
    source = paper.shipped_faces()[Face.REGULAR]
    os2 = bytearray(TTFontFile(BytesIO(source.read_bytes())).get_table("OS/2"))
    struct.pack_into(">H", os2, 8, 0x0002)
    path = tmp_path / "restricted.ttf"
    path.write_bytes(altered(source, os2=bytes(os2)))
    assert font_error(path) == f"{path}: the font's licence forbids embedding (OS/2 fsType)"


def test_figures_of_different_widths_are_told(tmp_path):
    source = paper.shipped_faces()[Face.REGULAR]
    font = TTFontFile(BytesIO(source.read_bytes()))
    widths = bytearray(font.get_table("hmtx"))
    struct.pack_into(">H", widths, 4 * font.charToGlyph[ord("1")], 300)
    path = tmp_path / "proportional.ttf"
    path.write_bytes(altered(source, hmtx=bytes(widths)))
    assert (
        font_error(path) == f"{path}: figures of face 'regular' differ in width; tabular figures are needed"
    )
