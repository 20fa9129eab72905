"""Every site that reading accepts gets its page: generated ones, on both papers, bound left and right.

A slice runs always; ``REACH_ATLAS_FIT_SITES=150 python -m pytest tests/sheets/test_fit.py`` tries the whole.
"""

import importlib.util
import os
from collections import Counter
from dataclasses import replace
from datetime import date
from itertools import product
from pathlib import Path

import pytest

from atlas.caches import read_county
from atlas.faults import AtlasError
from atlas.plan import SitePlan, plan_sites
from atlas.settings import load_settings
from atlas.settings.page import read_page_template
from atlas.settings.shipped import shipped_folder
from atlas.sheets import layout
from atlas.sheets.sheet import page_pdf
from atlas.survey import read_sites

SITES = int(os.environ.get("REACH_ATLAS_FIT_SITES", "14"))
PAGES_EACH = 3
"""Of the eight ways to print a site: two papers, two punch edges, two systems of units."""
AS_OF = date(2026, 6, 1)


@pytest.fixture(scope="module")
def county(tmp_path_factory):
    path = Path(__file__).with_name("fit_county.py")
    spec = importlib.util.spec_from_file_location("fit_county", path)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    folder = tmp_path_factory.mktemp("fit") / "county"
    return module.write_fit_county(folder, sites=SITES, shipped=shipped_folder("templates"))


@pytest.fixture(scope="module")
def own_settings(county):
    return load_settings(county=county)


@pytest.fixture(scope="module")
def planned(county, own_settings):
    """Everything of every site, or why not, in one batch."""
    read = read_county(county, gear_items=frozenset(own_settings.gear.items))
    survey = read_sites(
        read.survey_files,
        county=read.county,
        agency_codes=frozenset(agency.code for agency in read.agencies),
        as_of=AS_OF,
    )
    assert not read.faults
    assert not survey.faults
    assert len(survey.sites) == SITES
    return plan_sites(
        survey.sites, county=read.county, agencies=read.agencies, settings=own_settings, as_of=AS_OF
    )


@pytest.fixture(scope="module")
def ways(own_settings):
    """Units and page template of every way to print."""
    found = []
    for paper, edge, units in product(("letter", "a4"), ("left", "right"), ("us", "si")):
        template = read_page_template(own_settings.template_path(f"sheet-{paper}.toml"))
        page = template.page.model_copy(update={"punch_edge": edge})
        found.append((units, template.model_copy(update={"page": page})))
    return found


def test_what_is_generated_is_what_a_county_may_hold(planned):
    plans = [plan for plan in planned if isinstance(plan, SitePlan)]
    rigs = Counter(plan.chosen.rig for plan in plans)
    assert set(rigs) == {"movable-control-point", "four-line-tether", "two-line-tether"}
    assert {len(plan.chosen.gear) >= 33 for plan in plans} == {True}
    assert max(len(plan.site.dangers) for plan in plans) >= 10
    assert max(len(plan.posts) for plan in plans) >= 8
    assert max(len(plan.site.anchors) for plan in plans) >= 9
    assert min(plan.frame.span_m for plan in plans) < 20.0
    assert max(plan.frame.span_m for plan in plans) > 90.0


def test_every_site_gets_its_page_in_every_way_it_is_printed(planned, ways, own_settings):
    """Laid out and drawn; the check of the page is the one that every sheet passes through."""
    refused, pages = [], 0
    for number, plan in enumerate(planned):
        if not isinstance(plan, SitePlan):
            continue
        for step in range(PAGES_EACH):
            units, template = ways[(PAGES_EACH * number + step) % len(ways)]
            printed = replace(plan, county=replace(plan.county, units=units))
            pages += 1
            try:
                pdf = page_pdf(layout(printed, template, own_settings.words), template)
            except AtlasError as error:
                page = template.page
                told = f"{plan.site.code} {plan.chosen.rig} {units} {page.name} {page.punch_edge}: {error}"
                refused.append(told)
            else:
                assert pdf.startswith(b"%PDF-")
    assert pages >= 2 * SITES
    assert refused == []
