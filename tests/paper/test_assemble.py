from __future__ import annotations

import dataclasses
from io import BytesIO

import pikepdf
import pypdf
import pypdfium2
import pytest

from atlas import paper
from atlas.faults import PageError
from atlas.paper import Box, Destination, Entry, Face, Leaf, Link, Text, TextStyle

BOX = Box(left_mm=10, top_mm=40, width_mm=30, height_mm=5)
STYLE = TextStyle(face=Face.REGULAR, size_pt=9)
CODES = ("OT-01", "OT-02", "OT-03")


def leaf(small_page, fonts, code: str, *, leads_to: str, words: str = "ford") -> Leaf:
    page = small_page(
        Text(x_mm=10, y_mm=20, text=f"{code} {words}", style=STYLE, block="head"),
        Destination(name=code, x_mm=5, y_mm=12.5),
        Link(box=BOX, destination=leads_to),
        Link(box=BOX, url="geo:1,2"),
    )
    return Leaf.of(page, pdf=paper.draw([page], fonts), label=code)


@pytest.fixture(scope="module")
def leaves(small_page, fonts):
    following = (*CODES[1:], CODES[0])
    return [
        leaf(small_page, fonts, code, leads_to=target, words="Łódź gñ" if code == "OT-02" else "ford")
        for code, target in zip(CODES, following, strict=True)
    ]


OUTLINE = (
    Entry(
        title="Invented Reach",
        destination="OT-01",
        children=tuple(Entry(title=c, destination=c) for c in CODES),
    ),
    Entry(title="Élise", destination="OT-03"),
)


@pytest.fixture(scope="module")
def binder(leaves) -> bytes:
    return paper.assemble(leaves, title="Binder of an invented county", lang="en-US", outline=OUTLINE)


@pytest.fixture(scope="module")
def read(binder) -> pypdf.PdfReader:
    """The binder as a library sees it that had no part in making it."""
    return pypdf.PdfReader(BytesIO(binder))


def test_pages_keep_their_order_and_text(binder):
    found = paper.text_with_positions(binder)
    assert [(item.page, item.text) for item in found] == [
        (0, "OT-01 ford"),
        (1, "OT-02 Łódź gñ"),
        (2, "OT-03 ford"),
    ]


def test_pages_look_as_they_did_alone(binder, leaves):
    for number, single in enumerate(leaves):
        assert paper.png(binder, dpi=60, page=number) == paper.png(single.pdf, dpi=60)


def test_labels_are_the_sheets_names(read):
    assert read.page_labels == list(CODES)


def test_the_outline_leads_to_the_pages(read):
    reach, under, other = read.outline
    assert (reach.title, [item.title for item in under], other.title) == (
        "Invented Reach",
        list(CODES),
        "Élise",
    )
    numbers = [read.get_destination_page_number(item) for item in (reach, *under, other)]
    assert numbers == [0, 0, 1, 2, 2]


def test_named_destinations_stand_at_their_places(read):
    assert sorted(read.named_destinations) == list(CODES)
    place = read.named_destinations["OT-02"]
    assert read.get_destination_page_number(place) == 1
    points = (5 * 72 / 25.4, (60 - 12.5) * 72 / 25.4)
    assert (float(place.left), float(place.top)) == pytest.approx(points, abs=0.01)


def test_links_lead_to_pages_and_addresses(read):
    for number, target in enumerate((*CODES[1:], CODES[0])):
        notes = [note.get_object() for note in read.pages[number]["/Annots"]]
        assert [note["/A"]["/URI"] for note in notes if "/URI" in note["/A"]] == ["geo:1,2"]
        (inner,) = [note for note in notes if note["/A"]["/S"] == "/GoTo"]
        assert inner["/A"]["/D"] == target
        corners_mm = [float(edge) * 25.4 / 72 for edge in inner["/Rect"]]
        assert corners_mm == pytest.approx([10, 60 - 45, 40, 60 - 40], abs=0.01)


def test_title_and_language(read):
    assert read.metadata.title == "Binder of an invented county"
    assert read.xmp_metadata.dc_title == {"x-default": "Binder of an invented county"}
    assert read.trailer["/Root"]["/Lang"] == "en-US"
    assert read.metadata.creation_date is None


def font_programs(pdf: bytes) -> list[tuple[int, int]]:
    with pikepdf.open(BytesIO(pdf)) as document:
        return [
            font.FontDescriptor.FontFile2.objgen
            for page in document.pages
            for _, font in sorted(page.resources.Font.items())
        ]


def test_equal_fonts_are_kept_once_and_different_subsets_of_one_file_apart(binder, leaves):
    first, second, third = font_programs(binder)
    assert first == third
    assert second != first  # its subset holds letters that the others lack
    names = set()
    for single in leaves:
        with pikepdf.open(BytesIO(single.pdf)) as document:
            names |= {str(font.BaseFont) for _, font in document.pages[0].resources.Font.items()}
    # six letters tell subsets of one file apart (ISO 32000-1, 9.6.4)
    assert len(names) == 2
    assert len({name.partition("+")[2] for name in names}) == 1


def test_a_binder_is_far_smaller_than_its_pages(small_page, fonts):
    many = [leaf(small_page, fonts, f"OT-{number}", leads_to="OT-1") for number in range(1, 41)]
    binder = paper.assemble(many, title="t", lang="en")
    assert len(set(font_programs(binder))) == 1
    assert len(binder) < 0.1 * sum(len(single.pdf) for single in many)


def test_qpdf_and_pdfium_open_it_without_a_word(binder):
    with pikepdf.open(BytesIO(binder)) as document:
        assert document.check_pdf_syntax() == []
        assert document.get_warnings() == []
    document = pypdfium2.PdfDocument(binder)
    assert len(document) == 3
    document.close()


def test_single_pages_are_without_fault_for_qpdf(trial_pdf):
    with pikepdf.open(BytesIO(trial_pdf)) as document:
        assert document.check_pdf_syntax() == []


def test_equal_leaves_make_equal_bytes(binder, leaves):
    again = paper.assemble(list(leaves), title="Binder of an invented county", lang="en-US", outline=OUTLINE)
    assert again == binder


def test_without_outline_there_is_none(leaves):
    plain = pypdf.PdfReader(BytesIO(paper.assemble(leaves, title="t", lang="en")))
    assert plain.outline == []
    assert "/PageMode" not in plain.trailer["/Root"]


def test_loose_ends_are_told_together(leaves):
    twice = [*leaves, dataclasses.replace(leaves[0], label="copy")]
    lost = dataclasses.replace(leaves[1], links=(Link(box=BOX, destination="OT-99"),), destinations=())
    outline = (
        Entry(title="Reach", destination="OT-01", children=(Entry(title="gone", destination="OT-98"),)),
    )
    with pytest.raises(PageError) as caught:
        paper.assemble([*twice, lost], title="t", lang="en", outline=outline)
    assert str(caught.value) == (
        "the pages do not hang together: destination 'OT-01' stands 2 times;"
        " page 'OT-02' links to 'OT-99', which is nowhere;"
        " outline entry 'gone' leads to 'OT-98', which is nowhere"
    )


def test_a_leaf_that_is_no_single_page(trial, fonts):
    with pytest.raises(PageError, match=r"^page 'two' has 2 pages instead of one$"):
        paper.assemble([Leaf(pdf=paper.draw([trial, trial], fonts), label="two")], title="t", lang="en")
    with pytest.raises(PageError, match=r"^page 'none' cannot be opened: "):
        paper.assemble([Leaf(pdf=b"%PDF-", label="none")], title="t", lang="en")
