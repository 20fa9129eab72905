"""A site written as a survey reads back as the same site."""

from dataclasses import replace

import pytest

from atlas.caches import read_county
from atlas.settings import demo_county_folder
from atlas.survey import read_sites, site_geojson


@pytest.fixture(scope="module")
def county():
    return read_county(demo_county_folder())


def _read(paths, county):
    return read_sites(
        paths,
        county=county.county,
        agency_codes=frozenset(agency.code for agency in county.agencies),
        as_of=county.county.issued,
    )


def test_every_demo_site_reads_back_as_itself(county, tmp_path):
    surveys = sorted((demo_county_folder() / "surveys").iterdir())
    sites = {site.code: site for site in _read(surveys, county).sites}
    assert sites
    for code, site in sites.items():
        (tmp_path / f"{code}.geojson").write_bytes(site_geojson(site))
    again = _read(sorted(tmp_path.iterdir()), county)
    assert again.faults == ()
    assert {site.code: replace(site, file=sites[site.code].file) for site in again.sites} == sites
