from __future__ import annotations

import dataclasses
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from atlas import paper
from atlas.faults import BlockOverrun, MissingGlyphs
from atlas.paper import (
    Align,
    Box,
    Cell,
    Column,
    Face,
    Line,
    Rect,
    Row,
    Span,
    Stroke,
    Symbol,
    Table,
    Text,
    TextStyle,
)

FONTS = paper.shipped_fonts()
BODY = TextStyle(face=Face.REGULAR, size_pt=8.5)
FIGURE = TextStyle(face=Face.BOLD, size_pt=12)
EM_MM = 8.5 * 25.4 / 72
ROW_MM = EM_MM + 2 * 0.35
"""Height of a row of one line: the type's own box and the padding."""

NAME_AND_LENGTH = (Column(style=BODY), Column(style=BODY, width_mm=20, align=Align.RIGHT))


def box(height_mm: float, width_mm: float = 60) -> Box:
    return Box(left_mm=10, top_mm=20, width_mm=width_mm, height_mm=height_mm)


def gear(count: int, **changes) -> Table:
    rows = tuple(Row(cells=(f"item {number}", str(number)), drop=1) for number in range(count))
    return dataclasses.replace(
        Table(block="gear", columns=NAME_AND_LENGTH, rows=rows, more="+{count} more"), **changes
    )


def printed(laid: paper.LaidOut) -> list[str]:
    return [item.text for item in laid.items if isinstance(item, Text)]


def test_rows_stand_under_each_other_with_a_rule_between():
    laid = paper.lay_table(gear(3), box(50), FONTS)
    assert printed(laid) == ["item 0", "0", "item 1", "1", "item 2", "2"]
    assert laid.height_mm == pytest.approx(3 * ROW_MM)
    assert laid.dropped == 0
    rules = [item for item in laid.items if isinstance(item, Line)]
    assert [rule.y1_mm for rule in rules] == pytest.approx([20 + ROW_MM, 20 + 2 * ROW_MM])
    assert {(rule.x1_mm, rule.x2_mm) for rule in rules} == {(10, 70)}


def test_columns_align_and_numbers_end_in_one_line():
    laid = paper.lay_table(gear(12), box(99), FONTS)
    texts = [item for item in laid.items if isinstance(item, Text)]
    assert {item.x_mm for item in texts[::2]} == {10}
    assert {(item.x_mm, item.align) for item in texts[1::2]} == {(70, Align.RIGHT)}
    assert {item.block for item in laid.items} == {"gear"}


def test_a_column_without_width_takes_what_is_left():
    narrow = Column(style=BODY, width_mm=10)
    shares = Table(
        block="x",
        columns=(narrow, Column(style=BODY), Column(style=BODY)),
        rows=(Row(cells=("a", "b", "c")),),
    )
    laid = paper.lay_table(shares, box(20), FONTS)
    lefts = [item.x_mm for item in laid.items if isinstance(item, Text)]
    assert lefts == pytest.approx([10, 10 + 11.5, 10 + 11.5 + 23.5 + 1.5])  # (60 - 10 - 2 x 1.5) / 2 = 23.5


def test_cells_of_different_sizes_share_the_baseline():
    columns = (Column(style=FIGURE, width_mm=20), Column(style=BODY))
    laid = paper.lay_table(
        Table(block="x", columns=columns, rows=(Row(cells=("138 ft", "static")),)), box(20), FONTS
    )
    figure, word = (item for item in laid.items if isinstance(item, Text))
    assert figure.y_mm == word.y_mm
    assert laid.height_mm == pytest.approx(12 * 25.4 / 72 + 0.7)


def test_a_single_line_looks_centred_between_its_rules():
    laid = paper.lay_table(gear(1), box(20), FONTS)
    baseline_mm = next(item.y_mm for item in laid.items if isinstance(item, Text))
    above_mm = baseline_mm - FONTS.heights(BODY).cap_mm - 20
    below_mm = 20 + laid.height_mm - baseline_mm
    assert above_mm == pytest.approx(below_mm)


def test_a_cell_that_wraps_makes_its_row_higher():
    columns = (Column(style=BODY, width_mm=15), Column(style=BODY, wraps=True))
    text = "nobody and no boat passes the take-out; downstream safety stands before the word"
    table = Table(block="cautions", columns=columns, rows=(Row(cells=("DANGER", text)),))
    laid = paper.lay_table(table, box(40, width_mm=50), FONTS)
    lines = printed(laid)[1:]
    assert " ".join(lines) == text
    assert len(lines) > 1
    assert laid.height_mm == pytest.approx(ROW_MM + (len(lines) - 1) * 1.2 * EM_MM)


def test_the_last_cell_takes_the_columns_left_over():
    long = "a note that is wider than the first column alone"
    table = gear(1, rows=(Row(cells=(long,)),))
    assert printed(paper.lay_table(table, box(20), FONTS)) == [long]
    with pytest.raises(BlockOverrun):
        paper.lay_table(gear(1, rows=(Row(cells=(long, "1")),)), box(20), FONTS)


def test_rows_drop_from_below_and_the_table_says_how_many():
    laid = paper.lay_table(gear(8), box(5 * ROW_MM), FONTS)
    assert laid.dropped == 4
    assert printed(laid) == ["item 0", "0", "item 1", "1", "item 2", "2", "item 3", "3", "+4 more"]
    assert laid.height_mm <= 5 * ROW_MM + 0.01


def test_rows_drop_in_the_order_of_their_numbers_and_kept_rows_stay():
    drops = (None, 2, 1, None, 2, 1)
    rows = tuple(Row(cells=(f"item {number}", ""), drop=drop) for number, drop in enumerate(drops))
    left = {}
    for height in (6, 5, 4, 3):
        laid = paper.lay_table(gear(0, rows=rows), box(height * ROW_MM), FONTS)
        left[height] = [text for text in printed(laid) if text]
    assert left == {
        6: ["item 0", "item 1", "item 2", "item 3", "item 4", "item 5"],
        5: ["item 0", "item 1", "item 3", "item 4", "+2 more"],
        4: ["item 0", "item 1", "item 3", "+3 more"],
        3: ["item 0", "item 3", "+4 more"],
    }


def test_what_cannot_fit_after_dropping_names_block_and_overrun():
    rows = (*(Row(cells=(f"kept {number}", "")) for number in range(4)), Row(cells=("may go", ""), drop=1))
    with pytest.raises(BlockOverrun) as caught:
        paper.lay_table(gear(0, rows=rows), box(3 * ROW_MM), FONTS)
    overrun_mm = 2 * ROW_MM  # four kept rows and the row that says one was dropped
    assert caught.value.overrun_mm == pytest.approx(overrun_mm)
    assert str(caught.value) == (
        f"block 'gear' is {overrun_mm:.1f} mm too large for its box (5 rows, 1 of them dropped)"
    )


def test_a_cell_too_wide_names_itself():
    text = "a line name much longer than its column"
    table = Table(
        block="lines",
        columns=(Column(style=BODY, width_mm=30), Column(style=BODY)),
        rows=(Row(cells=(text, "1")),),
    )
    over_mm = FONTS.width_mm(text, BODY) - 30
    with pytest.raises(BlockOverrun) as caught:
        paper.lay_table(table, box(20), FONTS)
    assert str(caught.value) == (
        f"block 'lines' is {over_mm:.1f} mm too large for its box (cell of 30.0 mm: '{text}')"
    )


def test_columns_wider_than_the_box_are_told():
    with pytest.raises(BlockOverrun) as caught:
        paper.lay_table(gear(1), box(20, width_mm=18), FONTS)
    assert (
        str(caught.value)
        == "block 'gear' is 3.5 mm too large for its box (the columns are wider than the box)"
    )


def test_characters_that_cannot_be_set_are_refused():
    with pytest.raises(MissingGlyphs, match=r"^block 'gear': the font has no glyph for '☐' \(U\+2610\);"):
        paper.lay_table(gear(1, rows=(Row(cells=("☐ pulley", "1")),)), box(20), FONTS)


def test_a_table_that_may_drop_rows_must_be_able_to_say_so():
    with pytest.raises(
        ValueError, match=r"^block 'gear': rows may drop, so `more` must say \{count\} of them$"
    ):
        paper.lay_table(gear(3, more="and more"), box(50), FONTS)


@pytest.mark.parametrize("cells", [(), ("a", "b", "c")])
def test_a_row_fits_its_columns(cells):
    with pytest.raises(ValueError, match=rf"^block 'gear': {len(cells)} cells in 2 columns$"):
        paper.lay_table(gear(0, rows=(Row(cells=cells),)), box(50), FONTS)


def test_the_note_of_dropped_rows_is_text_and_never_a_format():
    laid = paper.lay_table(gear(8, more="+{count} {0.__class__} in the workings"), box(4 * ROW_MM), FONTS)
    assert printed(laid)[-1] == "+5 {0.__class__} in the workings"


def test_a_tick_box_stands_before_its_text_and_reaches_over_neither():
    row = Row(cells=(Cell(text="carriage pulley", symbol=Symbol.TICK_BOX), "2"))
    laid = paper.lay_table(gear(0, rows=(row,)), box(20), FONTS)
    tick = paper.bounds(next(item for item in laid.items if isinstance(item, Rect)), FONTS)
    words = paper.bounds(next(item for item in laid.items if isinstance(item, Text)), FONTS)
    assert tick.left_mm == pytest.approx(10)
    assert words.left_mm - tick.right_mm == pytest.approx(1.0)
    assert 20 < tick.top_mm < tick.bottom_mm < 20 + laid.height_mm


def test_a_frame_stays_inside_its_row_and_off_the_text():
    heavy = Stroke(weight_mm=0.7)
    rows = tuple(
        Row(cells=("5.05 ft", "OUTSIDE PLAN"), frame=heavy if number == 1 else None) for number in range(3)
    )
    laid = paper.lay_table(gear(0, rows=rows, side_mm=1.2), box(30), FONTS)
    frame = next(item for item in laid.items if isinstance(item, Rect))
    outer, inner = paper.bounds(frame, FONTS), frame.box.inset(0.35)
    rules = [item.y1_mm for item in laid.items if isinstance(item, Line)]
    assert (outer.top_mm, outer.bottom_mm) == pytest.approx(tuple(rules))
    assert (outer.left_mm, outer.right_mm) == pytest.approx((10, 70))
    texts = [paper.bounds(item, FONTS) for item in laid.items if isinstance(item, Text)]
    for text in texts[2:4]:
        assert inner.left_mm < text.left_mm < text.right_mm < inner.right_mm
        assert inner.top_mm < text.top_mm < text.bottom_mm < inner.bottom_mm


def test_a_cell_in_two_styles_ends_at_the_column_edge():
    cell = Cell(text=(Span("138", FIGURE), Span(" ft", BODY)))
    laid = paper.lay_table(gear(0, rows=(Row(cells=("track", cell)),)), box(20), FONTS)
    unit = next(item for item in laid.items if isinstance(item, Text) and item.text == " ft")
    assert paper.bounds(unit, FONTS).right_mm == pytest.approx(70)


def test_line_feeds_break_a_cell_that_does_not_wrap():
    laid = paper.lay_table(gear(0, rows=(Row(cells=("138 ft\n42.1 m", "")),)), box(20), FONTS)
    assert printed(laid) == ["138 ft", "42.1 m"]


words = st.text(alphabet="abc dÉg,1", max_size=40)


@given(
    rows=st.lists(st.tuples(words, words, st.sampled_from([None, 1, 2])), max_size=8),
    height_mm=st.floats(min_value=2, max_value=60),
    width_mm=st.floats(min_value=10, max_value=80),
)
def test_a_laid_table_is_inside_its_box_without_overlap_or_there_is_none(rows, height_mm, width_mm):
    columns = (Column(style=BODY, wraps=True), Column(style=FIGURE, wraps=True, align=Align.RIGHT))
    place = box(height_mm, width_mm)
    table = Table(
        block="x",
        columns=columns,
        rows=tuple(Row(cells=cells, drop=drop) for *cells, drop in rows),
        more="+{count}",
    )
    try:
        laid = paper.lay_table(table, place, FONTS)
    except BlockOverrun:
        return
    page = paper.Page(width_mm=100, height_mm=100, printable=place, items=laid.items, title="t", lang="en")
    assert paper.check_boxes(page, FONTS) == ()
    kept = [row for row in rows if row[2] is None]
    assert len(rows) - laid.dropped >= len(kept)


def test_equal_tables_are_equal_items():
    first, second = (paper.lay_table(gear(8), box(5 * ROW_MM), FONTS) for _ in range(2))
    assert first == second
    assert all(
        low.y_mm >= high.y_mm
        for high, low in pairwise(item for item in first.items if isinstance(item, Text))
    )
