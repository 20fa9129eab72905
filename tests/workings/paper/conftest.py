"""Sites of the demo county with their derivations; each is planned once and only when a test asks for it."""

from dataclasses import replace
from datetime import date
from functools import cache

import pytest

from atlas.caches import read_county
from atlas.gauges import join_gauges, read_records
from atlas.plan import plan_site
from atlas.settings import demo_county_folder, load_settings
from atlas.settings.page import read_page_template
from atlas.survey import read_sites
from atlas.workings.paper import derive
from atlas.workings.paper.style import style_of

# What they differ in: speeds fitted through three notes; no open window and a capture that decides; no
# stage known, scaled; the planning rope and a planning row nobody measured; tied off, from section means;
# rows from a gauge's measurements.
SITES = ("OT-01", "OT-06", "PC-01", "PC-03", "WEN-04", "OT-05")
AS_OF = date(2026, 11, 1)


class Demo:
    """The demo county, read once."""

    def __init__(self):
        folder = demo_county_folder()
        plain = load_settings(county=folder)
        self.read = read_county(folder, gear_items=frozenset(plain.gear.items))
        self.settings = load_settings(county=folder, overrides=dict(self.read.county.policy_overrides))
        codes = frozenset(agency.code for agency in self.read.agencies)
        survey = read_sites(self.read.survey_files, county=self.read.county, agency_codes=codes, as_of=AS_OF)
        gauges, _ = read_records(folder)
        sites = join_gauges(survey.sites, self.read.county.gauges, gauges)
        self.sites = {site.code: site for site in sites}
        self.tether = cache(self._plan)
        self.plan = cache(self._plan)
        self.derivation = cache(lambda code: derive(self.plan(code), self.settings))

    def _plan(self, code, rig="movable-control-point"):
        """A site on the rig asked for, whatever its survey names."""
        site = self.sites[code]
        return plan_site(
            replace(site, access=replace(site.access, rig=rig)),
            county=self.read.county,
            agencies=self.read.agencies,
            settings=self.settings,
            as_of=AS_OF,
        )


@pytest.fixture(scope="session")
def demo():
    return Demo()


@pytest.fixture(params=SITES)
def derivation(request, demo):
    return demo.derivation(request.param)


@pytest.fixture(scope="session")
def template(demo):
    return read_page_template(demo.settings.template_path("sheet-letter.toml"))


@pytest.fixture(scope="session")
def style(demo, template):
    return style_of(template, demo.settings.words)
