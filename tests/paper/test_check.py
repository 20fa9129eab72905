from __future__ import annotations

import dataclasses
import math

import pytest

from atlas import paper
from atlas.faults import PageCheckFailed
from atlas.paper import Box, Face, Line, Polyline, PrintRules, Rect, Stroke, Text, TextStyle

BODY = TextStyle(face=Face.REGULAR, size_pt=8.5)
BAR = Stroke(weight_mm=0.5)


def text(x_mm: float, y_mm: float, words: str, *, style: TextStyle = BODY, angle_deg: float = 0) -> Text:
    return Text(x_mm=x_mm, y_mm=y_mm, text=words, style=style, angle_deg=angle_deg, block="head")


def faults(page, fonts, rules=None):
    return paper.check_boxes(page, fonts, rules)


def test_the_trial_page_keeps_every_rule(trial, trial_pdf, fonts):
    paper.check_page(trial_pdf, trial, fonts)


def test_the_trial_page_in_grey_keeps_every_rule(trial, fonts):
    grey = paper.grey_page(trial)
    paper.check_page(paper.draw([grey], fonts), grey, fonts)


def test_text_off_the_printable_area(small_page, fonts):
    page = small_page(text(92, 20, "abc"), text(20, 58, "x"))
    width_mm = fonts.width_mm("abc", BODY)
    top_mm = 20 - fonts.ink_mm("abc", BODY)[0]
    assert faults(page, fonts)[0] == (
        f"block 'head': text 'abc' reaches {92 + width_mm - 95:.2f} mm out of the printable area"
        f" at x 92.0, y {top_mm:.1f} mm"
    )
    assert "text 'x' reaches 3.0" in faults(page, fonts)[1]


def test_a_line_off_the_printable_area_counts_its_weight(small_page, fonts):
    inside = Line(x1_mm=5.25, y1_mm=10, x2_mm=50, y2_mm=10, stroke=BAR, block="plan")
    assert faults(small_page(inside), fonts) == ()
    outside = dataclasses.replace(inside, y1_mm=5, y2_mm=5)
    assert faults(small_page(outside), fonts) == (
        "block 'plan': line reaches 0.25 mm out of the printable area at x 5.0, y 4.8 mm",
    )


def test_a_hairline_on_the_edge_is_no_fault(small_page, fonts):
    frame = Rect(box=Box(left_mm=5, top_mm=5, width_mm=90, height_mm=50), stroke=paper.HAIRLINE)
    assert faults(small_page(frame), fonts) == ()


@pytest.mark.parametrize("value", [math.nan, math.inf])
def test_a_coordinate_that_is_no_number(value, small_page, fonts):
    page = small_page(
        text(value, 20, "abc"), Polyline(points=((10, 10), (20, value)), stroke=BAR, block="plan")
    )
    assert faults(page, fonts) == (
        "block 'head': text 'abc' has no place: a coordinate is not a number",
        "block 'plan': polyline has no place: a coordinate is not a number",
    )


def test_text_upon_text(small_page, fonts):
    page = small_page(text(20, 20, "limit stage"), text(30, 21, "7.15 ft"), text(60, 20, "clear"))
    assert faults(page, fonts) == (
        "block 'head': text 'limit stage' stands upon block 'head': text '7.15 ft'",
    )


def test_turned_text_is_held_by_its_turned_box(small_page, fonts):
    diagonal = text(20, 40, "a long label along a line", angle_deg=35)
    box = paper.bounds(diagonal, fonts)
    beside = text(box.left_mm + 0.5, box.top_mm + 3, "ok")  # inside the upright box, clear of the turned one
    assert faults(small_page(diagonal, beside), fonts) == ()
    upon = text(box.centre[0], box.centre[1], "no")
    assert faults(small_page(diagonal, upon), fonts) == (
        "block 'head': text 'a long label along a line' stands upon block 'head': text 'no'",
    )


def test_neighbouring_lines_of_a_paragraph_are_no_overlap(small_page, fonts):
    place = Box(left_mm=10, top_mm=10, width_mm=30, height_mm=40)
    tight = dataclasses.replace(BODY, leading=1.0)
    laid = paper.lay_text("gjpqy ÉÄÅ gjpqy ÉÄÅ gjpqy ÉÄÅ gjpqy ÉÄÅ", tight, place, fonts, block="x")
    assert len(laid) > 1
    assert faults(small_page(*laid), fonts) == ()


def test_text_upon_a_line_that_is_to_stay_clear(small_page, fonts):
    words = text(20, 20, "138 ft")
    line = Line(x1_mm=10, y1_mm=19, x2_mm=60, y2_mm=19, stroke=BAR, block="plan", clear_of_text=True)
    assert faults(small_page(line, words), fonts) == (
        "block 'head': text '138 ft' stands upon block 'plan': line",
    )
    assert faults(small_page(dataclasses.replace(line, clear_of_text=False), words), fonts) == ()
    assert faults(small_page(dataclasses.replace(line, y1_mm=30, y2_mm=30), words), fonts) == ()


@pytest.mark.parametrize(
    "item",
    [
        Polyline(points=((10, 10), (30, 25), (60, 10)), stroke=BAR, block="plan", clear_of_text=True),
        Polyline(
            points=((10, 10), (25, 10), (25, 40)), closed=True, stroke=BAR, block="plan", clear_of_text=True
        ),
        Rect(
            box=Box(left_mm=10, top_mm=19, width_mm=60, height_mm=30),
            stroke=BAR,
            block="plan",
            clear_of_text=True,
        ),
        paper.Circle(x_mm=22, y_mm=30, radius_mm=11, stroke=BAR, block="plan", clear_of_text=True),
        paper.Area(rings=(((10, 10), (25, 19), (40, 10)),), stroke=BAR, block="plan", clear_of_text=True),
    ],
)
def test_text_upon_the_outline_of_every_kind(item, small_page, fonts):
    (fault,) = faults(small_page(item, text(20, 20, "138 ft")), fonts)
    assert fault == f"block 'head': text '138 ft' stands upon block 'plan': {type(item).__name__.lower()}"


def test_text_inside_an_outline_is_no_fault(small_page, fonts):
    frame = Rect(box=Box(left_mm=10, top_mm=10, width_mm=60, height_mm=30), stroke=BAR, clear_of_text=True)
    assert faults(small_page(frame, text(20, 20, "138 ft")), fonts) == ()


def test_text_in_the_white_rim_of_a_qr_code(small_page, fonts):
    code = paper.qr_code("geo:1,2", Box(left_mm=20, top_mm=10, width_mm=25, height_mm=25), block="access")
    assert faults(small_page(code, text(44.5, 20, "gate")), fonts) == (
        "block 'head': text 'gate' stands upon block 'access': qrcode",
    )


def test_text_too_small(small_page, fonts):
    small = TextStyle(face=Face.REGULAR, size_pt=7.4)
    page = small_page(text(20, 20, "note", style=small))
    assert faults(page, fonts) == ("block 'head': text 'note' is 7.4 pt; the least size is 7.5 pt",)
    assert faults(page, fonts, PrintRules(least_size_pt=7)) == ()


def test_characters_that_the_font_cannot_set(small_page, fonts):
    page = small_page(text(20, 20, "Δh"))
    assert faults(page, fonts) == ("block 'head': text 'Δh' holds U+0394, which the font cannot set",)


def test_a_destination_named_twice(small_page, fonts):
    places = [paper.Destination(name="cover", x_mm=10, y_mm=y_mm) for y_mm in (10, 20)]
    assert faults(small_page(*places), fonts) == ("destination 'cover' stands 2 times on the page",)


def test_every_violation_is_told_at_once(small_page, fonts):
    page = small_page(text(92, 20, "abc"), text(20, 20, "Δh"), title="OT-03")
    with pytest.raises(PageCheckFailed) as caught:
        paper.check_page(paper.draw([page], fonts), page, fonts)
    title, *lines = str(caught.value).split("\n")
    assert title == "OT-03: the page breaks 2 rules of print"
    assert lines == list(faults(page, fonts))


def test_an_empty_page_keeps_every_rule(small_page, fonts):
    page = small_page()
    paper.check_page(paper.draw([page], fonts), page, fonts)


def test_two_pages_in_the_file(trial, fonts):
    assert paper.check_bytes(paper.draw([trial, trial], fonts), trial) == (
        "the file has 2 pages instead of one",
    )


def test_another_size_in_the_file(trial, trial_pdf):
    page = dataclasses.replace(trial, width_mm=210, height_mm=297)
    assert paper.check_bytes(trial_pdf, page) == (
        "the page is 215.9 x 279.4 mm, laid out for 210.0 x 297.0 mm",
    )


def test_a_font_that_is_not_embedded(trial):
    from io import BytesIO  # noqa: PLC0415 -- a page as reportlab makes it when not told otherwise

    from reportlab.pdfgen.canvas import Canvas  # noqa: PLC0415

    target = BytesIO()
    canvas = Canvas(target, pagesize=(612, 792))
    canvas.drawString(100, 100, "x")
    canvas.save()
    page = dataclasses.replace(trial, items=())
    assert paper.check_bytes(target.getvalue(), page) == ("font /F1 /Helvetica is not embedded",)


def test_links_that_did_not_reach_the_file(trial, trial_pdf, fonts):
    without = dataclasses.replace(trial, items=tuple(i for i in trial.items if not isinstance(i, paper.Link)))
    assert paper.check_bytes(paper.draw([without], fonts), trial) == (
        "the page links to [], laid out were ['geo:36.123456,-119.654321']",
    )
    assert paper.check_bytes(trial_pdf, trial) == ()


@pytest.mark.parametrize("length", [0, 9, 2000, 60000])
def test_a_cut_file(length, trial, trial_pdf):
    (fault,) = paper.check_bytes(trial_pdf[:length], trial)
    assert fault.startswith("the file cannot be opened: the PDF")
    assert "0x" not in fault


def test_a_file_that_needs_repair(trial, trial_pdf):
    damaged = paper.check_bytes(trial_pdf[:-200], trial)
    assert damaged[0] == "the file is damaged: the PDF: file is damaged"
    assert all("0x" not in fault for fault in damaged)


def test_contents_that_do_not_unpack(trial, trial_pdf):
    hollow = trial_pdf.replace(b"/Contents", b"/Kontents")
    assert "the file is damaged: the contents cannot be read; /Contents" in paper.check_bytes(hollow, trial)
