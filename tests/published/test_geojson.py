"""What RFC 7946 (read) asks of a reader of GeoJSON. No tolerance: a file is read so, or it is not."""

import json
from datetime import date
from pathlib import Path

import pytest

from atlas.caches import read_county
from atlas.frame import site_frame
from atlas.survey import read_sites

COUNTY = Path(__file__).parents[2] / "sites" / "quillmarsh"


@pytest.fixture
def survey():
    """The demo county's survey of one river, as JSON."""
    return json.loads((COUNTY / "surveys" / "othram-river.geojson").read_text(encoding="utf-8"))


@pytest.fixture
def read(tmp_path):
    """Reads a survey given as JSON."""

    def read(survey):
        path = tmp_path / "survey.geojson"
        path.write_text(json.dumps(survey), encoding="utf-8")
        found = read_county(COUNTY)
        codes = frozenset(agency.code for agency in found.agencies)
        return read_sites([path], county=found.county, agency_codes=codes, as_of=date(2026, 11, 1))

    return read


def test_an_area_wound_the_wrong_way_is_not_rejected(survey, read):
    # section 3.1.6: parsers should not reject polygons that do not follow the right-hand rule
    for feature in survey["features"]:
        if feature["geometry"]["type"] == "Polygon":
            for ring in feature["geometry"]["coordinates"]:
                ring.reverse()
    found = read(survey)
    assert found.faults == ()
    plain = read_sites(
        [COUNTY / "surveys" / "othram-river.geojson"],
        county=read_county(COUNTY).county,
        agency_codes=None,
        as_of=date(2026, 11, 1),
    )
    for turned, site in zip(found.sites, plain.sites, strict=True):
        assert site_frame(turned).reach_down_m == site_frame(site).reach_down_m


def test_a_geometry_may_be_null_and_is_told_where_a_place_is_needed(survey, read):
    # section 3.2: the geometry of an unlocated feature is null; the file stays GeoJSON, and is read
    survey["features"][1]["geometry"] = None
    found = read(survey)
    assert [(fault.code, fault.feature) for fault in found.faults] == [("geometry_missing", 2)]
    assert len(found.sites) == len({feature["properties"]["site"] for feature in survey["features"]}) - 1


def test_another_reference_system_is_not_taken_for_wgs_84(survey, read):
    # section 4 and appendix B.1: coordinates are WGS 84, and the member crs of the 2008 specification is gone
    survey["crs"] = {"type": "name", "properties": {"name": "urn:ogc:def:crs:EPSG::26918"}}
    assert [fault.field for fault in read(survey).faults] == ["crs"]
    assert read(survey).sites == ()


def test_a_bounding_box_is_read_over(survey, read):
    # section 5: a FeatureCollection may have a bbox: west, south, east, north
    survey["bbox"] = [-141.0, 29.0, -139.0, 31.0]
    assert read(survey).faults == ()
