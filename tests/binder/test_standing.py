"""Who rigs what, agencies' pages, shopping list: of planned sites of the demo county, read from the pages."""

import re
from datetime import date
from pathlib import Path

import pypdfium2
import pytest

from atlas.binder.agency_pages import agency_pages
from atlas.binder.contents import Chapter
from atlas.binder.matrix import matrix_pages
from atlas.binder.shopping import shopping_pages
from atlas.binder.site_sheet import SiteSheet
from atlas.binder.standing import county_standing
from atlas.caches import read_county
from atlas.paper.looks import looks_of
from atlas.paper.press import Press
from atlas.plan import plan_sites
from atlas.settings import load_settings
from atlas.settings.page import read_page_template
from atlas.sheets import layout
from atlas.survey import read_sites

COUNTY = Path(__file__).resolve().parents[2] / "sites" / "quillmarsh"
ISSUED = date(2026, 11, 1)
SITES = ("OT-01", "PC-01", "PC-03", "WEN-06")


@pytest.fixture(scope="module")
def made():
    settings = load_settings(county=COUNTY, overrides={"stages.rows_above": 0})
    read = read_county(COUNTY, gear_items=frozenset(settings.gear.items))
    codes = frozenset(agency.code for agency in read.agencies)
    survey = read_sites(read.survey_files, county=read.county, agency_codes=codes, as_of=ISSUED)
    sites = [site for site in survey.sites if site.code in SITES]
    given = {"county": read.county, "settings": settings, "as_of": ISSUED}
    plans = plan_sites(sites, agencies=read.agencies, **given)
    template = read_page_template(settings.template_path("sheet-letter.toml"))
    sheets = tuple(SiteSheet(plan, layout(plan, template, settings.words), b"", b"") for plan in plans)
    press = Press(words=settings.words, template=template, looks=looks_of(template), county=read.county)
    return press, county_standing([Chapter(None, sheets)], read.agencies, step_m=5.0)


def text_of(pages):
    found = []
    for page in pages:
        document = pypdfium2.PdfDocument(page.pdf)
        found += [sheet.get_textpage().get_text_range() for sheet in document]
    return " ".join(" ".join(found).split())


def test_complete_alone_with_whom_and_short_of_what(made):
    press, standing = made
    text = text_of(matrix_pages(press, standing))
    assert "OT-01 QCR QCR, 24 min" in text
    assert "PC-03 PHP PHP + QCR, 18 min" in text
    assert "WEN-06 WBF SHORT with WBF + QCR" in text
    # PC-03: the county team alone; the valley district 4 people short, the parks unit three lines and 11
    assert re.search(r"PC-03 alone \d+ gear; 4 people \d+ gear T, UD, M; \d+ gear; 11 people", text)


def test_whose_absence_hurts_most(made):
    """PC-03 without the county team has no releasable link: three agencies have one, and not of 30 kN."""
    press, standing = made
    (site,) = [one for one in standing.sites if one.code == "PC-03"]
    worst, other = site.absences
    assert (worst.away, worst.short.lines, worst.short.gear) == ("QCR", (), (("releasable_link", 1),))
    assert (other.away, other.short.complete) == ("PHP", True)
    assert "PC-03 PHP PHP + QCR, 18 min QCR: short of 1 gear" in text_of(matrix_pages(press, standing))


def test_an_agency_s_page_has_its_sites_what_it_lacks_and_what_to_buy(made):
    """The parks unit: PC-01 lacks only gear; PC-03 three ropes as well, in steps of 5 m."""
    press, standing = made
    pages = [page for page in agency_pages(press, standing) if page.label == "Agency PHP"]
    text = text_of(pages)
    assert "Pellin Hollow Parks Unit" in text
    assert "PC-03 Track line, Up-down line, Messenger line, " in text
    sites, found = standing.own["PHP"]
    assert [site.code for site in sites] == ["PC-01", "PC-03"]
    assert [one.complete for one in found] == [(), (0,), (0, 1)]
    assert (found[1].ropes, len(found[2].ropes)) == ((), 3)
    assert found[2].articles == len({one.item for one in found[2].gear}) + 3
    needs = {need.line: need.needed_m for need in sites[1].cover.job.needs}
    for line, rope in zip(("track", "up-down", "messenger"), found[-1].ropes, strict=True):
        assert needs[line] <= rope.length_m < needs[line] + 5.0
        assert rope.length_m % 5.0 == 0.0


def test_what_nobody_has_is_on_the_shopping_list(made):
    """WEN-06 lacks three ropes with everybody there; all other sites are complete."""
    press, standing = made
    none, all_of_it = standing.together
    assert (none.articles, len(none.complete)) == (0, 3)
    assert (all_of_it.articles, len(all_of_it.ropes), len(all_of_it.complete)) == (3, 3, 4)
    text = text_of(shopping_pages(press, standing))
    assert "0 3 of 4 nothing OT-01, PC-01, PC-03" in text
    assert "QCR 1 of 1 nothing" in text


def test_every_agency_has_its_page(made):
    press, standing = made
    labels = [page.label for page in agency_pages(press, standing)]
    assert labels == ["Agency QCR", "Agency OVF", "Agency WBF", "Agency PHP"]


def test_no_site_no_pages(made):
    press, _ = made
    nothing = county_standing([], (), step_m=5.0)
    assert (matrix_pages(press, nothing), agency_pages(press, nothing), shopping_pages(press, nothing)) == (
        (), (), (),
    )  # fmt: skip
