"""Sheets of plans made by hand, ready to be bound: nothing is computed, so a binder takes no time."""

from dataclasses import dataclass, replace
from datetime import date

import pytest

from atlas.binder import NotPrinted, SiteSheet, bind
from atlas.faults import Fault, Severity
from atlas.records import Reach
from atlas.settings import load_settings
from atlas.settings.page import read_page_template
from atlas.sheets.sheet import layout, page_pdf
from atlas.workings import workings_json

REACHES = (
    Reach("OT", "Upper Otter", "Otter Run"),
    Reach("PB", "Pebble", "Pebble Creek"),
    Reach("SK", "Skimmer", "Skimmer River"),
)
FAULT = Fault(
    code="not_number",
    severity=Severity.ERROR,
    what="text where a number belongs",
    file="surveys/rivers.geojson",
    feature=32,
    site="PB-2",
    field="height",
    got='"tall"',
    allowed="a number in m",
    todo="write it like 30",
)
WARNING = replace(
    FAULT, code="unknown_key", severity=Severity.WARNING, what="this key is not known", got=None
)
BROKEN = NotPrinted("PB-2", "Kiln Bend", "PB", (WARNING, FAULT))


@pytest.fixture(scope="session")
def settings():
    return load_settings()


@pytest.fixture(scope="session")
def template(settings):
    return read_page_template(settings.template_path("sheet-letter.toml"))


@pytest.fixture(scope="session")
def sheet_of(hand_made, settings, template):
    """Makes the sheet of a plan made by hand under another code and name."""
    made = {}

    def make(code, name="Foundry Bend", *, outside=False):
        key = (code, name, outside)
        if key not in made:
            base = hand_made.outside_plan if outside else hand_made.make_plan
            plan = base(settings.words)
            reach = next(reach for reach in REACHES if reach.code == code.split("-")[0])
            site = replace(
                plan.site, code=code, access=replace(plan.site.access, name=name, reach=reach.code)
            )
            plan = replace(plan, site=site, reach=reach, county=replace(plan.county, reaches=REACHES))
            page = layout(plan, template, settings.words)
            made[key] = SiteSheet(plan, page, page_pdf(page, template), workings_json(plan))
        return made[key]

    return make


@dataclass(frozen=True)
class Bindery:
    """Binds sheets as the county of the plans made by hand."""

    settings: object
    template: object

    def __call__(self, sites, *, county=None, agencies=None, unread=()):
        plan = next(site.plan for site in sites if isinstance(site, SiteSheet))
        return bind(
            sites,
            county=county or plan.county,
            agencies=agencies or (plan.agency,),
            policy=self.settings.policy,
            words=self.settings.words,
            template=self.template,
            as_of=date(2026, 6, 1),
            unread=unread,
        )


@pytest.fixture(scope="session")
def bindery(settings, template):
    return Bindery(settings, template)


@pytest.fixture(scope="session")
def broken():
    return BROKEN


@pytest.fixture(scope="session")
def small_book(bindery, sheet_of):
    """Four sites of two reaches given out of order: one outside plan, one that could not be made."""
    sites = [
        sheet_of("PB-1", "Señora Ávila Landing"), BROKEN, sheet_of("OT-10"), sheet_of("OT-2", outside=True),
    ]  # fmt: skip
    return bindery(sites)
