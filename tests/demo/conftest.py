"""The demo county as its files say it, and as the readers hand it on."""

import json
import tomllib
from datetime import date
from pathlib import Path

import pytest

from atlas.caches import read_county
from atlas.plan import plan_site
from atlas.settings import load_settings
from atlas.survey import read_sites

COUNTY = Path(__file__).resolve().parents[2] / "sites" / "quillmarsh"
ISSUED = date(2026, 11, 1)


def _table(name):
    return tomllib.loads((COUNTY / name).read_text(encoding="utf-8"))


@pytest.fixture(scope="session")
def folder():
    return COUNTY


@pytest.fixture(scope="session")
def county_toml():
    return _table("county.toml")


@pytest.fixture(scope="session")
def caches_toml():
    return _table("caches.toml")


@pytest.fixture(scope="session")
def collections():
    """File name -> the survey as JSON."""
    return {
        path.name: json.loads(path.read_text(encoding="utf-8"))
        for path in sorted((COUNTY / "surveys").iterdir())
    }


@pytest.fixture(scope="session")
def features(collections):
    """Site code -> its features as they stand in the files."""
    sites = {}
    for collection in collections.values():
        for feature in collection["features"]:
            sites.setdefault(feature["properties"]["site"], []).append(feature)
    return sites


@pytest.fixture(scope="session")
def access(features):
    """Site code -> properties of its access feature."""
    return {
        code: feature["properties"]
        for code, of_site in features.items()
        for feature in of_site
        if feature["properties"]["role"] == "access"
    }


@pytest.fixture(scope="session")
def gear_items():
    return frozenset(load_settings().gear.items)


@pytest.fixture(scope="session")
def county_read(gear_items):
    return read_county(COUNTY, gear_items=gear_items)


@pytest.fixture(scope="session")
def surveyed(county_read):
    return read_sites(
        county_read.survey_files,
        county=county_read.county,
        agency_codes=frozenset(agency.code for agency in county_read.agencies),
        as_of=ISSUED,
    )


@pytest.fixture(scope="session")
def plans(county_read, surveyed):
    """Site code -> everything computed for it."""
    settings = load_settings(county=COUNTY)
    return {
        site.code: plan_site(
            site,
            county=county_read.county,
            agencies=county_read.agencies,
            settings=settings,
            as_of=ISSUED,
        )
        for site in surveyed.sites
    }
