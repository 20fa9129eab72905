"""Several sites and several files: nothing keeps another from being read, and all is told in one go."""

from __future__ import annotations

import json
import statistics

import numpy as np
import pytest

from atlas.faults import Severity
from atlas.survey.across import _middles_of_others
from atlas.survey.place import distance_km


@pytest.fixture
def moved(survey):
    """The good survey as another site, moved by degrees."""

    def make(code, east=0.0, north=0.0, **access):
        features = json.loads(json.dumps(survey["features"]))
        for feature in features:
            feature["properties"]["site"] = code
            places = feature["geometry"]["coordinates"]
            places = [places] if feature["geometry"]["type"] == "Point" else places
            for place in places:
                place[0] += east
                place[1] += north
        features[0]["properties"] |= access
        return features

    return make


def flip(features):
    for feature in features:
        places = feature["geometry"]["coordinates"]
        for place in [places] if feature["geometry"]["type"] == "Point" else places:
            place.reverse()
    return features


def told(result):
    return [str(fault) for fault in result.faults]


def test_one_bad_site_never_stops_the_others(survey, moved, read):
    bad = moved("OT-02", name="Bad bend", width=-1, surveyed="soon")
    bad[1]["geometry"] = None
    survey["features"] = bad + survey["features"] + moved("MS-07", reach="MS", name="Mill")
    result = read(survey)
    assert [site.code for site in result.sites] == ["MS-07", "OT-01"]
    (broken,) = result.broken
    assert (broken.code, broken.name, broken.reach) == ("OT-02", "Bad bend", "OT")
    assert [str(fault) for fault in broken.faults] == [
        (
            'a.geojson, feature 1, OT-02, surveyed: not a date; got "soon"; allowed: a date like 2026-05-31; '
            "write year, month and day"
        ),
        (
            "a.geojson, feature 1, OT-02, width: a length that is not more than zero; got -1; "
            "allowed: more than 0 m, at most 500 m; check number and unit against the survey notes"
        ),
        (
            "a.geojson, feature 2, OT-02, geometry: the feature has no geometry; got nothing (null); "
            "allowed: a point; draw it"
        ),
    ]
    assert result.faults == broken.faults
    assert result.codes == ("MS-07", "OT-01", "OT-02")


def test_every_fault_of_every_file_comes_out_in_one_go(survey, spoilt, read):
    first = spoilt(
        **{"1.width": "wide", "1.reach": "ZZ", "2 geometry": None, "3.height": "nan", "8.role": "pst"}
    )
    second = b"{"
    third = spoilt(schema=9)
    result = read(first, second, third, survey)
    assert [(fault.file, fault.code) for fault in result.faults] == [
        ("a.geojson", "not_a_number"),
        ("a.geojson", "reach_unknown"),
        ("a.geojson", "geometry_missing"),
        ("a.geojson", "not_finite"),
        ("a.geojson", "role_unknown"),
        ("b.geojson", "json_cut"),
        ("c.geojson", "schema_newer"),
        ("d.geojson", "duplicate_site"),
    ]
    assert {fault.severity for fault in result.faults if fault.file in {"b.geojson", "c.geojson"}} == {
        Severity.FILE
    }


def test_the_geometry_is_still_looked_at_where_something_else_is_wrong(spoilt, read):
    result = read(spoilt(**{"1.notes": 3, "1.width": "100 ft"}))
    assert [fault.code for fault in result.faults] == ["not_text", "width_disagrees"]


def test_the_geometry_is_not_looked_at_where_it_rests_on_something_faulty(spoilt, read):
    result = read(spoilt(**{"1.width": "100 parsec", "4 coordinates": []}))
    assert [fault.code for fault in result.faults] == ["unit_unknown", "geometry_empty"]


def test_a_site_in_two_files(survey, read):
    result = read(survey, survey)
    assert told(result) == [
        (
            "b.geojson, OT-01: the site stands in two files; got a.geojson and b.geojson; "
            "allowed: all features of a site in one file; remove one, or give it a site code of its own"
        )
    ]
    assert result.sites == ()
    assert [site.code for site in result.broken] == ["OT-01"]


def test_a_fault_of_the_whole_file_breaks_all_its_sites_and_no_other(survey, moved, read):
    other = {**survey, "features": moved("MS-07", reach="MS")}
    survey["features"] = survey["features"] + moved("OT-02")
    survey["crs"] = {"type": "name", "properties": {"name": "EPSG:26914"}}
    result = read(survey, other)
    assert [site.code for site in result.sites] == ["MS-07"]
    assert [(site.code, site.name) for site in result.broken] == [
        ("OT-01", "Ford at the cottonwoods"),
        ("OT-02", "Ford at the cottonwoods"),
    ]
    assert len(result.faults) == 1
    assert all(site.faults == result.faults for site in result.broken)


def test_a_feature_of_no_site_breaks_none(spoilt, read):
    result = read(spoilt(**{"8.site": "somewhere"}))
    assert [fault.code for fault in result.faults] == ["site_code_malformed"]
    assert [site.code for site in result.sites] == ["OT-01"]


def test_longitude_and_latitude_exchanged_shows_by_the_other_sites(survey, moved, read):
    # at 10 east, 47 north both orders are places on earth
    shift = {"east": 111.25, "north": 5.25}
    survey["features"] = moved("OT-01", **shift) + moved("OT-02", **shift) + flip(moved("OT-03", **shift))
    result = read(survey)
    assert [site.code for site in result.sites] == ["OT-01", "OT-02"]
    (broken,) = result.broken
    assert [str(fault) for fault in broken.faults] == [
        (
            "a.geojson, feature 17, OT-03, geometry: longitude and latitude are exchanged: the county's "
            "other sites lie there; got 47.00009, 9.9997592; allowed: longitude first, then latitude, in "
            "degrees; exchange the two numbers of each coordinate"
        )
    ]


def test_longitude_and_latitude_exchanged_in_one_feature(survey, moved, read):
    features = moved("OT-01", east=111.25, north=5.25)
    flip(features[7:])
    survey["features"] = features
    assert told(read(survey)) == [
        (
            "a.geojson, feature 8, OT-01, geometry: longitude and latitude are exchanged; "
            "got 47.00054, 9.9999398; "
            "allowed: longitude first, then latitude, in degrees; exchange the two numbers of each coordinate"
        )
    ]


def test_two_far_apart_sites_prove_nothing(survey, moved, read):
    survey["features"] = moved("OT-01", east=111.25, north=5.25) + flip(
        moved("OT-02", east=111.25, north=5.25)
    )
    codes = {fault.code for fault in read(survey).faults}
    assert "coordinates_swapped" not in codes


def test_far_from_access(survey, moved, read):
    features = moved("OT-01")
    features[6]["geometry"]["coordinates"][1] = [-101.25, 43.0]
    survey["features"] = features
    assert told(read(survey)) == [
        (
            "a.geojson, feature 7, OT-01, geometry: the feature lies far from its site's access; got 139 km; "
            "allowed: at most 50 km; correct its place or its site code"
        )
    ]


def test_rough_distance():
    # geodesic 40.6 N 73.8 W to 41.6 N 73.8 W is 111.05 km, to 40.6 N 72.8 W 84.65 km (WGS 84)
    assert distance_km((-73.8, 40.6), (-73.8, 41.6)) == pytest.approx(111.05, rel=0.01)
    assert distance_km((-73.8, 40.6), (-72.8, 40.6)) == pytest.approx(84.65, rel=0.01)
    assert distance_km((179.9, 0.0), (-179.9, 0.0)) == pytest.approx(22.26, rel=0.01)


def test_same_bytes_same_answer(spoilt, read):
    content = spoilt(**{"1.width": "wide", "7.kind": "straner"})
    assert read(content) == read(content)


def test_the_middle_of_all_others_is_their_median():
    random = np.random.default_rng(3)
    for count in range(3, 12):
        values = random.choice([1.0, 2.0, 3.5, *random.normal(size=3)], count).tolist()
        others = [values[:at] + values[at + 1 :] for at in range(count)]
        assert _middles_of_others(values) == [statistics.median(other) for other in others]
