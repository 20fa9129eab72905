"""GeoPackage and KML give the same raw records, sites and faults as GeoJSON."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date

import geopandas
import pandas as pd
import pyogrio
import pytest
from shapely.geometry import Point, shape

from atlas.faults import Severity
from atlas.survey import read_survey

SCHEMA_ASSUMED = (
    "warning schema_assumed | {}, schema: the file does not say which schema it follows: taken as 1; "
    "add a column schema with 1"
)


def as_frame(survey):
    rows = [dict(feature["properties"]) for feature in survey["features"]]
    for row in rows:
        for key, value in row.items():
            if isinstance(value, (list, dict)):
                row[key] = json.dumps(value)
    geometries = [shape(feature["geometry"]) for feature in survey["features"]]
    return geopandas.GeoDataFrame(rows, geometry=geometries, crs=4326)


def told(result):
    return [f"{fault.severity} {fault.code} | {fault}" for fault in result.faults]


def errors(result):
    return [fault for fault in result.faults if fault.severity is not Severity.WARNING]


@pytest.fixture
def survey(spoilt):
    """The good survey with one type a column."""
    return spoilt(**{"3.diameter": "0.5 m"})


@pytest.fixture
def full_survey(spoilt):
    return spoilt(
        **{
            "3.diameter": "0.5 m",
            "1.dam": {"name": "Upper dam", "travel_min": 40},
            "1.dangers": ["wire"],
            "1.flow_toward": 180,
            "1.far_minutes": "1 h",
            "4.note_to_self": "x",
        }
    )


def test_geopackage_gives_the_same_raw_records_and_sites(full_survey, read, tmp_path):
    path = tmp_path / "a.gpkg"
    as_frame(full_survey).assign(schema=1).to_file(path, layer="survey")
    written = read.write(full_survey)
    from_json = read_survey(written, shown_as="a")
    from_package = read_survey(path, shown_as="a")
    assert from_package.faults == from_json.faults == ()
    assert json.loads(json.dumps(from_package.features, default=vars_of)) == json.loads(
        json.dumps(from_json.features, default=vars_of)
    )
    one, other = read.files(written), read.files(path)
    assert [replace(site, file="") for site in one.sites] == [replace(site, file="") for site in other.sites]
    assert [replace(fault, file="") for fault in one.faults] == [
        replace(fault, file="") for fault in other.faults
    ]
    assert len(one.sites) == 1


def vars_of(feature):
    return {name: getattr(feature, name) for name in feature.__slots__}


def test_geopackage_of_several_layers_and_real_date_columns(survey, read, tmp_path):
    path = tmp_path / "a.gpkg"
    frame = as_frame(survey)
    frame["surveyed"] = [date(2025, 8, 14)] + [None] * (len(frame) - 1)
    points, lines = frame[frame.geom_type == "Point"], frame[frame.geom_type == "LineString"]
    points.to_file(path, layer="points")
    lines.to_file(path, layer="lines")
    result = read.files(path)
    assert told(result) == [SCHEMA_ASSUMED.format("a.gpkg")]
    (site,) = result.sites
    assert site.access.surveyed == date(2025, 8, 14)
    assert len(site.edges) == 2


def test_a_table_without_geometry_is_no_layer(survey, read, tmp_path):
    path = tmp_path / "a.gpkg"
    as_frame(survey).to_file(path, layer="survey")
    styles = pd.DataFrame({"style": ["red"]})
    pyogrio.write_dataframe(styles, path, layer="layer_styles", append=True)  # as GIS programs do
    result = read.files(path)
    assert [site.code for site in result.sites] == ["OT-01"]


def test_numbers_among_texts_are_taken_as_si_and_told_once(survey, read, tmp_path):
    path = tmp_path / "a.gpkg"
    frame = as_frame(survey).assign(schema="1")
    frame["width"] = ["36", *[None] * (len(frame) - 1)]
    frame["height"] = [None, "2.4", "9 ft", *[None] * (len(frame) - 3)]
    frame.to_file(path)
    result = read.files(path)
    assert told(result) == [
        (
            "warning numbers_as_text | a.gpkg: 2 bare numbers in columns of text, taken as SI; "
            "got height, width; write them with their unit"
        )
    ]
    (site,) = result.sites
    assert site.access.width_m == 36.0
    assert site.anchors[1].height_m == pytest.approx(2.7432)


def test_kml(survey, read, tmp_path):
    path = tmp_path / "a.kml"
    as_frame(survey).to_file(path, driver="KML")
    result = read.files(path)
    assert errors(result) == []
    assert {fault.code for fault in result.faults} == {"schema_assumed"}
    site, other = result.sites[0], read(survey).sites[0]
    assert site.access == other.access
    assert site.anchors == other.anchors
    assert site.posts == other.posts


def test_another_reference_system_is_refused(survey, read, tmp_path):
    path = tmp_path / "a.gpkg"
    as_frame(survey).assign(schema=1).to_crs(26914).to_file(path)
    result = read.files(path)
    assert told(result) == [
        (
            "error crs_not_wgs84 | a.gpkg, crs: the coordinates are in another reference system; "
            'got "EPSG:26914"; '
            "allowed: longitude and latitude in WGS 84 (EPSG:4326); export the survey again in EPSG:4326"
        )
    ]
    assert [(site.code, site.name) for site in result.broken] == [("OT-01", "Ford at the cottonwoods")]


def test_no_reference_system_is_refused(survey, read, tmp_path):
    path = tmp_path / "a.fgb"
    frame = as_frame(survey).assign(schema=1).set_crs(None, allow_override=True)
    with pytest.warns(UserWarning, match="crs"):
        frame.to_file(path, driver="FlatGeobuf")
    assert told(read.files(path)) == [
        (
            "error crs_not_wgs84 | a.fgb, crs: the coordinates are in another reference system; "
            "got none named; "
            "allowed: longitude and latitude in WGS 84 (EPSG:4326); export the survey again in EPSG:4326"
        )
    ]


@pytest.mark.parametrize(
    ("schema", "line", "whole"),
    [
        (
            2,
            (
                "file schema_newer | a.gpkg, schema: the file's schema is newer than this program; got 2; "
                "allowed: up to 1; install a newer release"
            ),
            [],
        ),
        (
            "one",
            (
                'error schema_not_a_number | a.gpkg, schema: the schema is not a whole number; got "one"; '
                "allowed: 1; write the number of the schema that the file follows"
            ),
            ["OT-01"],
        ),
    ],
)
def test_schema_column(survey, read, tmp_path, schema, line, whole):
    path = tmp_path / "a.gpkg"
    as_frame(survey).assign(schema=schema).to_file(path)
    result = read.files(path)
    assert told(result) == [line]
    assert result.sites == ()
    assert [site.code for site in result.broken] == whole


def test_null_and_empty_geometries(survey, read, tmp_path):
    path = tmp_path / "a.gpkg"
    frame = as_frame(survey).assign(schema=1)
    frame.loc[1, "geometry"] = None
    frame.loc[2, "geometry"] = Point()
    frame.to_file(path)
    assert told(read.files(path)) == [
        (
            "error geometry_missing | a.gpkg, feature 2, OT-01, geometry: the feature has no geometry; "
            "got nothing (null); allowed: a point; draw it"
        ),
        (
            "error geometry_empty | a.gpkg, feature 3, OT-01, geometry: the geometry is empty; "
            "got no coordinates; "
            "allowed: a drawn feature; draw it"
        ),
    ]


def test_faults_are_told_with_the_same_words(spoilt, read, tmp_path):
    survey = spoilt(
        **{
            "1.width": "36 parsec",
            "1.near_bank": "up",
            "2.use": "trak",
            "3.diameter": "0.5 m",
            "7.kind": "straner",
        }
    )
    survey["features"][0]["properties"]["flow_notes"] = [{"stage": 1.0}]
    path = tmp_path / "a.gpkg"
    as_frame(survey).assign(schema=1).to_file(path)
    from_json = read(survey)
    from_package = read.files(path)
    assert len(from_json.faults) == 5
    assert [line.replace("a.gpkg", "a.geojson") for line in told(from_package)] == told(from_json)


def test_what_is_no_vector_file(read):
    assert told(read.files(read.write(b"junk", "a.gpkg"))) == [
        (
            "file file_unreadable | a.gpkg: the file cannot be read as a vector file; "
            "got 'a.gpkg' not recognized as being in a supported file format.; "
            "allowed: GeoJSON, GeoPackage, KML; export the survey again"
        )
    ]


def test_empty_file(read):
    assert told(read.files(read.write(b"", "a.kml"))) == [
        "file file_empty | a.kml: the file is empty; export the survey again"
    ]
