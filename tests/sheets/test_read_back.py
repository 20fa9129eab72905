"""What stands on the finished PDF, read back with two libraries that had no part in drawing it."""

from io import BytesIO
from math import ceil, floor

import pypdf
import pytest

from atlas.paper import Text, text_with_positions
from atlas.sheets import layout, page_pdf

FT, LBF, MPH = 0.3048, 4.4482216152605, 0.44704
"""Metres, newtons, metres a second: exact, NIST SP 811."""
NEAR_MM = 0.05


@pytest.fixture(scope="module", params=["plain", "outside"])
def printed(request, plans, letter, words):
    """A plan, its page, its PDF."""
    plan = plans[request.param]
    page = layout(plan, letter, words)
    return plan, page, page_pdf(page, letter)


def _up(value, step=1.0):
    return ceil(value / step - 1e-9) * step


def _down(value, step=1.0):
    return floor(value / step + 1e-9) * step


def _plain(text):
    """Without no-break and double spaces, which readers of PDF fold."""
    return " ".join(text.split())


def _found_in(pdf, template, block):
    """Strings whose baseline begins in a block's box."""
    rule = getattr(template.block, block)
    left_mm, top_mm = template.content_left_mm + rule.left_mm - 1, template.page.edge_mm + rule.top_mm
    return [
        found.text.strip()
        for found in text_with_positions(pdf)
        if left_mm <= found.x_mm <= left_mm + rule.width_mm + 1
        and top_mm <= found.y_mm <= top_mm + rule.height_mm
    ]


def test_every_text_is_drawn_where_it_was_laid_out(printed):
    _, page, pdf = printed
    found = text_with_positions(pdf)
    laid_out = [item for item in page.items if isinstance(item, Text) and item.text.strip()]
    by_text = {}
    for item in found:
        by_text.setdefault(_plain(item.text), []).append(item)
    for text in laid_out:
        wanted = _plain(text.text)
        assert wanted in by_text, wanted
        if text.align.share == 0.0 and not text.text.startswith(" "):
            nearest = min(abs(item.x_mm - text.x_mm) + abs(item.y_mm - text.y_mm) for item in by_text[wanted])
            assert nearest < NEAR_MM, wanted


def test_a_second_library_reads_the_same_words(printed):
    _, page, pdf = printed
    (read,) = pypdf.PdfReader(BytesIO(pdf)).pages
    words = set(read.extract_text(extraction_mode="layout").replace("\N{NO-BREAK SPACE}", " ").split())
    for item in page.items:
        if isinstance(item, Text) and not item.angle_deg:  # that library's layout leaves turned text out
            assert set(item.text.replace("\N{NO-BREAK SPACE}", " ").split()) <= words, item.text


def test_needed_lengths_are_rounded_up(printed, letter):
    plan, _, pdf = printed
    found = _found_in(pdf, letter, "lines")
    for line in plan.chosen.lines:
        assert f"{_up(line.needed_m / FT):.0f} ft" in found
        assert f"{_up(line.needed_m, 0.1):.1f} m" in found


def test_ropes_to_take_are_rounded_down_and_what_is_short_up(printed, letter):
    plan, _, pdf = printed
    found = _found_in(pdf, letter, "lines")
    for line in plan.chosen.lines:
        for rope in line.take:
            assert f"{_down(rope.length_m / FT):.0f} ft" in found
        if line.short_m:
            assert f"by {_up(line.short_m / FT):.0f} ft" in found


def test_levels_are_those_of_the_plan(printed, letter):
    plan, _, pdf = printed
    found = _found_in(pdf, letter, "levels")
    told = next((text for text in found if text.endswith("in the workings")), "+0")
    dropped = int(told.split()[0])  # the lowest ones first
    for stage in plan.chosen.stages[dropped:]:
        cases = {case.case: case for case in stage.cases}
        clearance_m = min(case.clearance_m for case in stage.cases if case.judged)
        row = [
            f"{_up(stage.design_speed_m_s / MPH, 0.1):.1f} mph",
            f"{_down(cases['boat-held'].factor, 0.1):.1f}",
            f"{_down(cases['boat-swamped'].factor, 0.1):.1f}",
            f"{_down(clearance_m / FT, 0.1):.1f} ft",
            "inside" if stage.inside else "OUTSIDE",
        ]
        start = found.index(row[0])
        assert found[start : start + 5] == row


def test_anchors_are_those_of_the_plan(printed, letter):
    plan, _, pdf = printed
    found = _found_in(pdf, letter, "anchors")
    for anchor in plan.chosen.anchors:
        if anchor.do_not_use:
            continue
        start = found.index(anchor.tag)
        row = found[start : start + 7]
        assert f"{_down(anchor.height_planning_m / FT, 0.1):.1f} ft" in row
        assert f"{_up(anchor.load_n / LBF, 10):.0f} lbf" in row
        assert f"{_up(anchor.needed_n / LBF, 10):.0f} lbf" in row
        if anchor.rating_n is not None:
            assert any(text.endswith(f"{_down(anchor.rating_n / LBF, 10):.0f} lbf") for text in row)


def test_posts_and_gear_are_those_of_the_plan(printed, letter):
    plan, _, pdf = printed
    posts = _found_in(pdf, letter, "posts")
    for post in plan.posts:
        way = "down" if post.downstream_m >= 0 else "up"
        assert f"{abs(post.downstream_m) / FT:.0f} ft {way}" in posts
    gear = _found_in(pdf, letter, "gear")
    for need in plan.chosen.gear:
        assert str(need.needed) in gear
        if need.short:
            assert f"{need.short} short" in gear


def test_track_line_is_that_of_the_plan(printed, letter):
    plan, _, pdf = printed
    rig = plan.chosen
    found = " ".join(_found_in(pdf, letter, "track"))
    if rig.haul.fits:
        run_m = plan.site.access.near_run_m
        assert f"takes {_up(rig.haul.travel_m / FT):.0f} of {_down(run_m / FT):.0f} ft" in found
    assert (
        f"{_down(rig.haul.least_n / LBF, 10):.0f}\N{EN DASH}{_up(rig.haul.most_n / LBF, 10):.0f} lbf" in found
    )
    assert f"{rig.haul.system} by {rig.haul.people}" in found
    ends = _up(rig.travel_from_m / FT), _down(rig.travel_to_m / FT)
    assert f"{ends[0]:.0f} ft to {ends[1]:.0f} ft" in found
    if rig.window is not None:
        window = _up(rig.window.low_n / LBF, 10), _down(rig.window.high_n / LBF, 10)
        assert f"{window[0]:.0f}\N{EN DASH}{window[1]:.0f} lbf" in found


def test_section_says_the_least_clearance_of_the_planning_row(printed, letter):
    plan, _, pdf = printed
    found = " ".join(_found_in(pdf, letter, "section"))
    judged = [case for case in plan.chosen.planning.cases if case.judged]
    worst = min(judged, key=lambda case: case.clearance_m - case.clearance_needed_m)
    assert f"clear {_down(worst.clearance_m / FT, 0.1):.1f} ft" in found
    assert f"needs {_up(worst.clearance_needed_m / FT, 0.1):.1f} ft" in found
