"""Two sheets of plans made by hand, bound; nothing is computed."""

from dataclasses import replace
from datetime import date

import pytest

from atlas.binder import NotPrinted, SiteSheet, bind
from atlas.editions import EditionFacts
from atlas.faults import Fault, Severity
from atlas.settings import load_settings
from atlas.settings.page import read_page_template
from atlas.sheets.sheet import layout, page_pdf
from atlas.workings import workings_json

LOST = NotPrinted("OT-9", None, "OT", (Fault("unit_unknown", Severity.ERROR, "unit", "a.geojson"),))


@pytest.fixture(scope="session")
def settings():
    return load_settings()


@pytest.fixture(scope="session")
def make_edition(hand_made, settings):
    """Binder and facts of an edition; the sheet of OT-02 last changed in 2024 where asked."""
    template = read_page_template(settings.template_path("sheet-letter.toml"))

    def sheet(code, edition, year):
        plan = hand_made.make_plan(settings.words)
        county = replace(plan.county, edition=year)
        site = replace(plan.site, code=code)
        plan = replace(plan, site=site, county=county, edition=edition)
        page = layout(plan, template, settings.words)
        return SiteSheet(plan, page, page_pdf(page, template), workings_json(plan))

    def make(year="2026", changed_in=None):
        changed = changed_in or {}
        sheets = [sheet(code, changed.get(code, year), year) for code in ("OT-02", "OT-11")]
        county = sheets[0].plan.county
        book = bind(
            [*sheets, LOST], county=county, agencies=[sheets[0].plan.agency], policy=settings.policy,
            words=settings.words, template=template, as_of=date(2026, 6, 1),
        )  # fmt: skip
        return book, EditionFacts(county, settings.policy, settings.words, date(2026, 6, 1))

    return make


@pytest.fixture(scope="session")
def lost():
    return LOST
