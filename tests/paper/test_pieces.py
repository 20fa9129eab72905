import pytest

from atlas.faults import BlockOverrun
from atlas.paper import Box, Column, LaidOut, Rect, Row, Text
from atlas.paper.looks import looks_of
from atlas.paper.pieces import Piece, beside, flow, gap, heading, paragraph, table_row
from atlas.paper.press import Press
from atlas.records import County
from atlas.settings import load_settings
from atlas.settings.page import read_page_template

COUNTY = County(
    folder="made", name="Made County", issued=None, edition="1", paper="letter", units="us", reaches=()
)


@pytest.fixture(scope="module")
def press():
    settings = load_settings()
    template = read_page_template(settings.template_path("sheet-letter.toml"))
    return Press(words=settings.words, template=template, looks=looks_of(template), county=COUNTY)


def block(height_mm, **more):
    def lay(box):
        place = Box(left_mm=box.left_mm, top_mm=box.top_mm, width_mm=box.width_mm, height_mm=height_mm)
        return LaidOut(items=(Rect(box=place, block="made"),), height_mm=height_mm, dropped=0)

    return Piece(lay, **more)


def poured(press, pieces):
    pages = flow(press, pieces, title="Title", label="Label", destination="here", block="made")
    return [[item for item in page.page.items if item.block == "made"] for page in pages]


def texts(items):
    return [item.text for item in items if isinstance(item, Text)]


def test_pieces_stand_under_each_other_and_inside_the_column(press):
    (page,) = poured(press, [block(10.0), gap(5.0), block(20.0)])
    column = press.column
    tops = [item.box.top_mm for item in page]
    assert tops == pytest.approx([column.top_mm, column.top_mm + 15.0])
    assert all(item.box.bottom_mm <= column.bottom_mm for item in page)


def test_what_does_not_fit_begins_the_next_page_without_white_over_it(press):
    height = press.column.height_mm
    first, second = poured(press, [block(height - 10.0), gap(5.0), block(20.0)])
    assert len(first) == 1
    assert second[0].box.top_mm == pytest.approx(press.column.top_mm)


def test_a_piece_just_as_high_as_the_page_fits_it(press):
    assert len(poured(press, [block(press.column.height_mm)])) == 1


def test_a_heading_goes_with_what_it_is_over(press):
    first, second = poured(
        press, [block(press.column.height_mm - 12.0), heading(press, "Over it", block="made"), block(20.0)]
    )
    assert texts(first) == []
    assert texts(second) == ["Over it"]


def test_a_head_is_repeated_where_a_table_goes_on_and_not_where_it_begins(press):
    columns = (Column(style=press.looks.styles["body"], wraps=True),)
    head = table_row(press, columns, Row(cells=("head",)), block="made", keeps_next=True)
    rows = [
        table_row(press, columns, Row(cells=(f"row {number}",)), block="made", repeats=head)
        for number in range(120)
    ]
    pages = [texts(page) for page in poured(press, [head, *rows])]
    assert len(pages) > 2
    assert [page[0] for page in pages] == ["head"] * len(pages)
    assert all(page.count("head") == 1 for page in pages)
    assert [text for page in pages for text in page[1:]] == [f"row {number}" for number in range(120)]


def test_columns_stand_beside_each_other_and_are_as_high_as_the_higher(press):
    laid = beside([block(10.0)], [block(30.0), block(5.0)], left_mm=40.0, gap_mm=4.0).lay(press.column)
    left, first, second = laid.items
    assert laid.height_mm == 35.0
    assert left.box.width_mm == 40.0
    assert first.box.left_mm == pytest.approx(press.column.left_mm + 44.0)
    assert first.box.right_mm == pytest.approx(press.column.right_mm)
    assert second.box.top_mm == pytest.approx(first.box.bottom_mm)


def test_a_piece_higher_than_a_page_is_an_error_that_names_block_and_overrun(press):
    with pytest.raises(BlockOverrun) as told:
        poured(press, [block(press.column.height_mm + 7.0)])
    assert str(told.value) == "block 'made' is 7.0 mm too large for its box (a piece higher than a page)"


def test_a_paragraph_is_as_high_as_its_lines(press):
    one = paragraph(press, "one line", "body", block="made").lay(press.column).height_mm
    two = paragraph(press, "one line\nand another", "body", block="made").lay(press.column).height_mm
    style = press.looks.styles["body"]
    assert two - one == pytest.approx(style.size_pt * style.leading * 25.4 / 72)
