"""Sheets of the tethers: the chosen rig in full, the others in a line each."""

from dataclasses import replace
from math import ceil

import pytest

from atlas.paper import PrintRules, Text, check_boxes, shipped_fonts
from atlas.settings import load_settings
from atlas.settings.page import read_page_template
from atlas.sheets import layout

SITES = ("OT-03", "OT-04", "PC-01", "PC-03", "WEN-06")


@pytest.fixture(scope="module")
def settings(folder):
    return load_settings(county=folder)


def chosen(plan, name):
    return replace(plan, rigs=tuple(replace(rig, chosen=rig.rig == name) for rig in plan.rigs))


@pytest.mark.parametrize("paper", ["letter", "a4"])
@pytest.mark.parametrize("name", ["two-line-tether", "four-line-tether"])
def test_a_tether_keeps_the_rules_of_print(plans, settings, name, paper):
    template = read_page_template(settings.template_path(f"sheet-{paper}.toml"))
    for code in SITES:
        page = layout(chosen(plans[code], name), template, settings.words)
        assert check_boxes(page, shipped_fonts(), PrintRules(least_size_pt=7.5)) == (), code


def test_a_tether_is_printed_in_full(plans, settings):
    template = read_page_template(settings.template_path("sheet-letter.toml"))
    plan = chosen(plans["OT-03"], "four-line-tether")
    texts = [
        item.text.strip() for item in layout(plan, template, settings.words).items if isinstance(item, Text)
    ]
    rig = plan.chosen
    # the greatest angle up to whole degrees, the limit down to tenths of a mile an hour
    # outside plan or not, its figure stands in the block of the tether
    assert any(text.startswith(f"{ceil(rig.angle_deg)}") for text in texts)
    assert f"{int(rig.limit.surface_speed_m_s / 0.44704 * 10) / 10:.1f}" in texts
    for line in rig.lines:
        assert settings.words(f"line.{line.line}") in texts
    for tag in ("NB", "FB", "NS", "FS"):
        assert texts.count(tag) == 2, "in the list and on the plan"
    for other in plan.rigs:
        assert settings.words(f"rig.{other.rig}") in texts  # the chosen one over its block
    assert "Track line" not in texts
    assert "One bow line parts" in texts
