"""Plans to print workings of: one made by hand, and one computed from a survey made by hand."""

import pytest

from atlas.caches import read_county
from atlas.plan import plan_site
from atlas.settings import load_settings
from atlas.survey import read_sites


@pytest.fixture(scope="session")
def settings():
    return load_settings()


@pytest.fixture(scope="session")
def plan(hand_made, settings):
    return hand_made.make_plan(settings.words)


@pytest.fixture(scope="session")
def computed(tmp_path_factory, county_maker, settings):
    """A plan computed by the program itself."""
    folder = county_maker.write_county(tmp_path_factory.mktemp("county") / "flats")
    read = read_county(folder)
    survey = read_sites(read.survey_files, county=read.county, agency_codes=None, as_of=read.county.issued)
    site = next(site for site in survey.sites if site.code == "OT-02")
    return plan_site(
        site, county=read.county, agencies=read.agencies, settings=settings, as_of=read.county.issued
    )
