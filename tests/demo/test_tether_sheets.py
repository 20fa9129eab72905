"""Sheets of the demo's two tethers: every figure of the rig read back, rounded to its safe side."""

from math import ceil, floor

import pytest

from atlas.paper import Line, Polyline, Text
from atlas.plan import TetherRig
from atlas.settings import load_settings
from atlas.settings.page import read_page_template
from atlas.sheets.sheet import layout

FT, LBF = 0.3048, 4.4482216152605
SITES = {"OT-06": "two-line-tether", "PC-04": "four-line-tether"}


@pytest.fixture(scope="module")
def settings():
    return load_settings()


@pytest.fixture(params=SITES)
def tether(request, plans, settings):
    plan = plans[request.param]
    template = read_page_template(settings.template_path("sheet-letter.toml"))
    page = layout(plan, template, settings.words)
    texts = [item.text for item in page.items if isinstance(item, Text)]
    return plan, page, " | ".join(texts)


def swamped(rig):
    return next(case for case in rig.planning.cases if case.case == "boat-swamped")


def test_one_is_named_by_its_survey_and_one_chosen_by_rule(plans):
    for code, rig in SITES.items():
        assert isinstance(plans[code].chosen, TetherRig)
        assert plans[code].chosen.rig == rig
    assert plans["OT-06"].site.access.rig is None
    assert plans["PC-04"].site.access.rig == "four-line-tether"
    assert plans["OT-03"].chosen.rig == "movable-control-point"


def test_the_angle_is_a_stop_figure_and_the_stations_depth_beside_it(tether):
    plan, _, text = tether
    rig = plan.chosen
    assert f"{ceil(rig.angle_deg)}°" in text
    assert "at most 120°" in text
    near, far = (floor(depth / FT) for depth in (rig.depths.near_m, rig.depths.far_m))
    assert f"{near} ft and {far} ft up" in text
    assert f"stations {ceil(rig.depths.needed_m / FT)} ft up" in text


def test_each_bow_line_s_pull_is_printed_rounded_up(tether):
    plan, _, text = tether
    for load in swamped(plan.chosen).bow:
        assert f"{10 * ceil(load.tension_n / LBF / 10)} lbf" in text


def test_every_line_is_drawn_from_its_station_and_named(tether, settings):
    """As many strokes as lines with a station, and each line's tag and needed length."""
    plan, page, text = tether
    rig = plan.chosen
    for line in rig.lines:
        assert settings.words(f"line.{line.line}") in text
        assert f"{ceil(line.needed_m / FT)} ft" in text
    drawn = [item for item in page.items if isinstance(item, Polyline) and item.block == "plan"]
    bows = [item for item in drawn if item.stroke is not None and item.stroke.weight_mm == 1.0]
    assert len(bows) == 2
    section = [item for item in page.items if isinstance(item, Line) and item.block == "section"]
    assert sum(item.stroke.weight_mm == 1.0 for item in section) == 2


def test_the_other_rigs_have_a_line_each(tether, settings):
    plan, _, text = tether
    for rig in plan.rigs[1:]:
        assert settings.words(f"rig.{rig.rig}") in text
        longest = max(line.needed_m for line in rig.lines)
        assert f"{ceil(longest / FT)} ft" in text
        if rig.inside:
            assert f"limit {floor(rig.limit.surface_speed_m_s / 0.44704 * 10) / 10:.1f} mph" in text
    if plan.site.code == "OT-06":
        assert "OUTSIDE: capture" in text


def test_nothing_of_a_track_line_is_printed(tether):
    _, _, text = tether
    for word in ("Track line", "Set tension", "carriage", "ferry line", "up-down line"):
        assert word not in text


def test_what_goes_wrong_is_a_tether_s(tether):
    _, _, text = tether
    assert "One bow line parts" in text
    assert "Both bow lines lost" in text
    assert "1 far bow, 2 near bow" in text or "1 sterns, 2 far bow, 3 near bow" in text
