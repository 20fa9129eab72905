"""The demo county's sites, each planned once; and a quick way to plan a site that was changed."""

import importlib.util
from dataclasses import dataclass, fields, is_dataclass, replace
from datetime import date
from pathlib import Path

import pytest

from atlas.caches import read_county
from atlas.plan import plan_site
from atlas.settings import load_settings
from atlas.survey import read_sites

COUNTY = Path(__file__).resolve().parents[2] / "sites" / "quillmarsh"
ISSUED = date(2026, 11, 1)
DEMO = [
    *(f"OT-0{number}" for number in range(1, 7)),
    *(f"PC-0{number}" for number in range(1, 5)),
    *(f"WEN-0{number}" for number in range(1, 7)),
]


@dataclass(frozen=True)
class Demo:
    """The demo county as read, and its plans by site code."""

    county: object
    agencies: tuple
    settings: object
    sites: dict
    plans: dict

    def plan(self, site, *, overrides=None, agencies=None, as_of=ISSUED, units=None):
        """Plan a site anew; `overrides` are policy keys, `units` those of the county."""
        return plan_site(
            self.sites[site] if isinstance(site, str) else site,
            county=self.county if units is None else replace(self.county, units=units),
            agencies=self.agencies if agencies is None else agencies,
            settings=load_settings(county=COUNTY, overrides=overrides) if overrides else self.settings,
            as_of=as_of,
        )

    def quick(self, site, **overrides):
        """Plan a site anew with no row above the planning stage: half the time."""
        return self.plan(site, overrides={"stages.rows_above": 0, **overrides})

    def brief(self, site, **overrides):
        """As `quick`, the tended lines' factor never deciding: no second search for the limit speed."""
        return self.quick(site, **{"limits.factor_lines": 1, **overrides})

    def alone(self, site):
        """The site's plan as if there were no agency but the first due."""
        own = tuple(one for one in self.agencies if one.code == self.sites[site].access.agency)
        return self.plan(site, agencies=own)

    def stock(self, take):
        """The entry of a cache that a rope was taken from."""
        (agency,) = [one for one in self.agencies if one.code == take.agency]
        (stock,) = [one for one in agency.ropes if one.name == take.rope]
        return stock

    def agency_of(self, site, **changes):
        """The agencies, that of the site changed."""
        code = self.sites[site].access.agency
        return tuple(
            replace(agency, **changes) if agency.code == code else agency for agency in self.agencies
        )


@pytest.fixture(scope="session")
def hand():
    """The tools beside the sites worked out by hand: no package, so loaded by their path."""
    path = Path(__file__).parent / "hand_tools.py"
    spec = importlib.util.spec_from_file_location("hand_tools", path)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="session")
def read():
    settings = load_settings(county=COUNTY)
    county = read_county(COUNTY, gear_items=frozenset(settings.gear.items))
    survey = read_sites(
        county.survey_files,
        county=county.county,
        agency_codes=frozenset(agency.code for agency in county.agencies),
        as_of=ISSUED,
    )
    assert not survey.faults
    assert [site.code for site in survey.sites] == DEMO
    return settings, county, survey


@pytest.fixture(scope="session")
def demo(read):
    settings, county, survey = read
    plans = {
        site.code: plan_site(
            site, county=county.county, agencies=county.agencies, settings=settings, as_of=ISSUED
        )
        for site in survey.sites
    }
    sites = {site.code: site for site in survey.sites}
    return Demo(county.county, county.agencies, settings, sites, plans)


@pytest.fixture(params=DEMO)
def plan(request, demo):
    """Each demo site's plan in its turn."""
    return demo.plans[request.param]


def _leaves(value, at, skip):
    if is_dataclass(value):
        for field in fields(value):
            if field.name not in skip:
                yield from _leaves(getattr(value, field.name), f"{at}.{field.name}", skip)
    elif isinstance(value, (tuple, list)):
        for number, item in enumerate(value):
            yield from _leaves(item, f"{at}[{number}]", skip)
    else:
        yield at, value


@pytest.fixture(scope="session")
def leaves():
    """Every plain value within records, by where it stands; fields named in `skip` left out."""
    return lambda value, *skip: dict(_leaves(value, "", frozenset(skip)))
