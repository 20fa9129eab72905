"""Sites made one by one, here and in other processes."""

import os
import signal
import subprocess
import sys
from dataclasses import replace

import pytest

from atlas.binder import NotPrinted, SiteSheet, Workshop, make_site, make_sites
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
    return list(make_sites(sites, shop, changed_in={}))


def test_every_good_site_is_made_in_the_order_given(made, sites):
    assert [type(site) for site in made] == [SiteSheet] * 3
    assert [site.code for site in made] == [site.code for site in sites]


def test_two_processes_give_the_same_in_the_same_order(made, sites, shop):
    told = []
    there = list(make_sites(sites, shop, changed_in={}, workers=2, on_made=told.append))
    assert [(site.code, site.pdf, site.workings) for site in there] == [
        (site.code, site.pdf, site.workings) for site in made
    ]
    assert [site.page for site in there] == [site.page for site in made]
    assert told == [site.code for site in sites]


def test_the_sheet_prints_the_edition_in_which_it_last_changed(sites, shop):
    sheet = make_site(sites[0], shop, changed_in="2024")
    printed = " ".join(getattr(item, "text", "") for item in sheet.page.items)
    assert "Edition 2024" in printed
    assert "Edition 2026" not in printed


def test_workings_say_the_edition_they_belong_to_and_not_the_one_stamped(sites, shop, made):
    assert make_site(sites[0], shop, changed_in="2024").workings == made[0].workings


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
    plan_site = making_module.plan_site

    def fails(site, **more):
        if site.code == sites[1].code:
            raise ZeroDivisionError("division\nby zero")
        return plan_site(site, **more)

    monkeypatch.setattr(making_module, "plan_site", fails)
    first, second, third = make_sites(sites, shop, changed_in={})
    assert isinstance(first, SiteSheet)
    assert isinstance(third, SiteSheet)
    assert second.faults[0].code == "defect"
    assert second.faults[0].what == "the program failed on this site: ZeroDivisionError: division; by zero"
    assert "Traceback" in second.defect
    assert "ZeroDivisionError" in second.defect


def test_ctrl_c_is_not_taken_for_a_defect(sites, shop, monkeypatch):
    def interrupted(*_, **__):
        raise KeyboardInterrupt

    monkeypatch.setattr(making_module, "plan_site", interrupted)
    with pytest.raises(KeyboardInterrupt):
        make_site(sites[0], shop)


@pytest.mark.skipif(not hasattr(signal, "pthread_sigmask"), reason="signals have no mask here")
def test_a_process_started_meanwhile_never_gets_ctrl_c():
    code = "import signal; print(signal.SIGINT in signal.pthread_sigmask(signal.SIG_BLOCK, []))"
    with making_module.ctrl_c_kept_from_children():
        started = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert started.stdout == "True\n"
    assert signal.SIGINT not in signal.pthread_sigmask(signal.SIG_BLOCK, [])


@pytest.mark.skipif(not hasattr(signal, "pthread_sigmask"), reason="signals have no mask here")
def test_ctrl_c_of_that_time_is_not_lost():
    def interrupted():
        with making_module.ctrl_c_kept_from_children():
            os.kill(os.getpid(), signal.SIGINT)

    with pytest.raises(KeyboardInterrupt):
        interrupted()
    assert signal.SIGINT not in signal.pthread_sigmask(signal.SIG_BLOCK, [])
