"""Sites made in batches, here and in other processes."""

from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from io import BytesIO
from multiprocessing import get_context

import pytest
from pypdf import PdfReader

from atlas.binder import (
    Batch,
    Earlier,
    NotPrinted,
    SiteSheet,
    Workshop,
    batches_of,
    make_batch,
    make_site,
    make_sites,
)
from atlas.binder import making as making_module
from atlas.caches import read_county
from atlas.survey import read_sites


@pytest.fixture(scope="module")
def county(tmp_path_factory, county_maker):
    folder = county_maker.write_county(tmp_path_factory.mktemp("county") / "flats")
    return read_county(folder)


@pytest.fixture(scope="module")
def sites(county):
    survey = read_sites(
        county.survey_files, county=county.county, agency_codes=None, as_of=county.county.issued,
        shown=lambda path: path.name,
    )  # fmt: skip
    assert len(survey.sites) == 3
    return survey.sites


@pytest.fixture(scope="module")
def shop(county, settings, template):
    return Workshop(county.county, county.agencies, settings, template, county.county.issued)


@pytest.fixture(scope="module")
def made(sites, shop):
    return [site for some in make_sites(batches_of(sites), shop) for site in some]


def test_every_good_site_is_made_in_the_order_of_reaches_and_codes(made, sites):
    assert all(isinstance(site, SiteSheet) for site in made)
    assert [site.code for site in made] == ["MS-1", "OT-02", "OT-10"]
    assert {site.code for site in sites} == {site.code for site in made}


def test_batches_hang_on_codes_and_not_on_the_order_given(sites):
    batches = batches_of(sites)
    assert [[site.code for site in batch.sites] for batch in batches] == [["MS-1"], ["OT-02", "OT-10"]]
    assert batches_of(sites[::-1]) == batches


def test_a_long_reach_is_cut_in_batches_of_24(sites):
    many = [replace(sites[1], code=f"OT-{number:03d}") for number in range(50)]
    assert [len(batch.sites) for batch in batches_of(many)] == [24, 24, 2]


def test_two_processes_give_the_same_in_the_same_order(made, sites, shop):
    """Through the plain executor of the standard library: the unit of work is a function of plain data."""
    told = []
    with ProcessPoolExecutor(2, mp_context=get_context("spawn")) as executor:
        batches = make_sites(batches_of(sites), shop, executor=executor, on_made=told.append)
        there = [site for some in batches for site in some]
    assert [(site.code, site.pdf, site.workings) for site in there] == [
        (site.code, site.pdf, site.workings) for site in made
    ]
    assert [site.facts for site in there] == [site.facts for site in made]
    assert told == [site.code for site in made]


def printed(sheet):
    return PdfReader(BytesIO(sheet.pdf)).pages[0].extract_text()


def test_a_sheet_that_reads_the_same_keeps_the_edition_in_which_it_last_changed(made, sites, shop):
    earlier = {sheet.code: Earlier(sheet.facts.digest, "2024") for sheet in made}
    earlier["OT-10"] = Earlier("0" * 64, "2024")
    batches = batches_of(sites, earlier)
    same, again, changed = [site for some in make_sites(batches, shop) for site in some]
    for sheet, before in zip((same, again), made, strict=False):
        assert "Edition 2024" in printed(sheet)
        assert "Edition 2026" not in printed(sheet)
        assert sheet.facts == replace(before.facts, edition="2024")
        assert sheet.workings == before.workings
    assert "Edition 2026" in printed(changed)
    assert changed.pdf == made[2].pdf


def test_a_site_past_the_range_shown_is_not_printed_and_says_why(sites, shop):
    """A span of a kilometre: nothing of ours was shown to hold there, and nothing is guessed."""
    site = sites[0]
    lon, lat = site.anchors[1].place
    far = tuple(
        replace(anchor, place=(lon + 0.012, lat)) if anchor.tag == "F1" else anchor for anchor in site.anchors
    )
    lost = make_site(replace(site, anchors=far, edges=()), shop)
    assert isinstance(lost, NotPrinted)
    (fault,) = lost.faults
    assert (fault.code, lost.defect) == ("site_not_made", None)
    assert fault.what == (
        "site MS-1: the span is outside the range of a track line (got 1021.8 m): "
        "correct the place of the track anchors"
    )


def test_a_name_that_the_font_cannot_set_keeps_only_its_own_site_from_print(sites, shop):
    site = replace(sites[0], access=replace(sites[0].access, name="渡し場"))
    lost = make_site(site, shop)
    assert isinstance(lost, NotPrinted)
    assert (lost.code, lost.name, lost.reach, lost.defect) == (site.code, "渡し場", site.access.reach, None)
    (fault,) = lost.faults
    assert fault.code == "site_not_made"
    assert fault.file == "rivers.geojson"
    assert fault.what.startswith("block 'head': the font has no glyph for '渡' (U+6E21)")
    assert fault.todo == "look at the site's survey, or at the limits and templates it is made with"


def test_a_defect_at_one_site_is_told_with_its_traceback_and_costs_no_other(sites, shop, monkeypatch):
    plan_sites = making_module.plan_sites
    broken = sites[1].code

    def fails(some, **more):
        if any(site.code == broken for site in some):
            raise ZeroDivisionError("division\nby zero")
        return plan_sites(some, **more)

    monkeypatch.setattr(making_module, "plan_sites", fails)
    made = {site.code: site for site in make_batch(Batch(tuple(sites)), shop)}
    assert [isinstance(made[site.code], SiteSheet) for site in sites] == [True, False, True]
    assert made[broken].faults[0].code == "defect"
    assert made[broken].faults[0].what == (
        "the program failed on this site: ZeroDivisionError: division; by zero"
    )
    assert "Traceback" in made[broken].defect
    assert "ZeroDivisionError" in made[broken].defect


def test_a_defect_of_drawing_costs_its_own_site_alone(sites, shop, monkeypatch):
    page_pdf = making_module.page_pdf

    def fails(page, template):
        if page.title.startswith(sites[1].code):
            raise ZeroDivisionError("division by zero")
        return page_pdf(page, template)

    monkeypatch.setattr(making_module, "page_pdf", fails)
    made = make_batch(Batch(tuple(sites)), shop)
    assert [isinstance(site, SiteSheet) for site in made] == [True, False, True]
    assert made[1].faults[0].code == "defect"


def test_ctrl_c_is_not_taken_for_a_defect(sites, shop, monkeypatch):
    def interrupted(*_, **__):
        raise KeyboardInterrupt

    monkeypatch.setattr(making_module, "plan_sites", interrupted)
    with pytest.raises(KeyboardInterrupt):
        make_site(sites[0], shop)
