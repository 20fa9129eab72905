"""How to read a sheet agrees with how sheets are drawn."""

from dataclasses import replace

import pytest

from atlas.binder.how_to_read import BLOCK_ORDER, how_to_read
from atlas.binder.samples import ANCHOR_SIGNS, LINE_STROKES, SIGNALS, THING_SAMPLES
from atlas.paper import Circle, Rect, Text
from atlas.paper.looks import looks_of
from atlas.paper.press import Press
from atlas.settings import CautionRule
from atlas.settings.page import LINE_STROKES as TEMPLATE_STROKES
from atlas.settings.page import Blocks
from atlas.sheets.anchors import anchor_symbol
from atlas.sheets.sheet import layout


@pytest.fixture(scope="module")
def pages(hand_made, settings, template):
    county = hand_made.make_plan(settings.words).county
    return how_to_read(Press(settings.words, template, looks_of(template), county))


def test_it_is_one_page(pages):
    assert [page.label for page in pages] == ["How to read"]


def test_every_block_of_a_sheet_is_explained_once():
    assert sorted(BLOCK_ORDER) == sorted(Blocks.model_fields)


def test_every_line_of_the_rig_is_shown(settings):
    assert sorted(stroke for stroke, _ in LINE_STROKES) == sorted(TEMPLATE_STROKES)
    for _, line in LINE_STROKES:
        assert line is None or settings.words.has(f"sheet.line_tag.{line}")


def test_signal_words_are_those_that_cautions_may_carry():
    assert list(SIGNALS) == CautionRule.model_json_schema()["properties"]["signal"]["enum"]


def test_anchor_signs_are_those_that_sheets_draw(hand_made, settings):
    anchors = hand_made.make_plan(settings.words).chosen.anchors
    signs = dict(ANCHOR_SIGNS)
    plain = replace(anchors[0], surveyed=True, do_not_use=False, drowned=False)
    for use in ("track", "ferry", "up_down"):
        assert anchor_symbol(replace(plain, uses=(use,))) == signs[use]
    assert anchor_symbol(replace(plain, uses=("ferry",), surveyed=False)) == signs["on_scene"]
    assert anchor_symbol(replace(plain, do_not_use=True)) == signs["out"]
    assert anchor_symbol(replace(plain, drowned=True)) == signs["out"]


def test_the_small_map_shows_the_templates_own_blocks(pages, template):
    """Each number stands in its block's rectangle, at the block's place on the page in one scale."""
    items = pages[0].page.items
    frame, *blocks = [item.box for item in items if isinstance(item, Rect) and item.stroke and not item.fill][
        : len(BLOCK_ORDER) + 1
    ]
    scale = frame.width_mm / template.page.width_mm
    assert frame.height_mm == pytest.approx(scale * template.page.height_mm)
    for name, box in zip(BLOCK_ORDER, blocks, strict=True):
        block = getattr(template.block, name)
        assert box.width_mm == pytest.approx(scale * block.width_mm)
        assert box.top_mm - frame.top_mm == pytest.approx(scale * (template.page.edge_mm + block.top_mm))
    numbers = {item.text: item for item in items if isinstance(item, Text) and item.text.isdigit()}
    assert set(numbers) == {str(number) for number in range(1, len(BLOCK_ORDER) + 1)}


def test_every_sample_has_its_words(settings):
    words = settings.words
    wanted = [f"binder.block.{name}" for name in BLOCK_ORDER]
    wanted += [f"binder.line.{stroke}" for stroke, _ in LINE_STROKES]
    wanted += [f"binder.anchor.{name}" for name, _ in ANCHOR_SIGNS]
    wanted += [f"binder.thing.{name}" for name, _ in THING_SAMPLES]
    wanted += [f"binder.signal.{signal}" for signal in SIGNALS]
    wanted += [f"binder.means.{name}" for name in words.of("binder.term")]
    assert [key for key in wanted if not words.has(key)] == []
    shown = {"block", "line", "anchor", "thing", "signal", "means"}
    assert {
        key for key in words.texts if key.split(".")[0] == "binder" and key.split(".")[1] in shown
    } == set(wanted)


def test_the_carriage_is_shown_as_the_plan_draws_it(pages, hand_made, settings, template):
    """One disc in the other, the same sizes: on the sheet and in the list of signs."""

    def rings(items):
        filled = [item for item in items if isinstance(item, Circle) and item.fill]
        return {
            (round(outer.radius_mm, 3), round(inner.radius_mm, 3), outer.fill, inner.fill)
            for outer in filled
            for inner in filled
            if outer.radius_mm > inner.radius_mm and (outer.x_mm, outer.y_mm) == (inner.x_mm, inner.y_mm)
        }

    sheet = layout(hand_made.make_plan(settings.words), template, settings.words)
    (ring,) = rings(item for item in sheet.items if item.block == "plan")
    assert rings(pages[0].page.items) == {ring}
