"""Background layers: three kinds of file give the same lines; what is wrong is told, the rest is read."""

import json
from pathlib import Path

import geopandas
import pytest
from shapely.geometry import LineString, MultiLineString, Point, Polygon

from atlas.faults import Severity
from atlas.records import Background, LayerFeature
from atlas.survey.background import read_backgrounds

RIVER = [[-101.25, 41.75], [-101.2, 41.7], [-101.1, 41.72]]
RING = [[-101.3, 41.6], [-101.0, 41.6], [-101.0, 41.8], [-101.3, 41.6]]
SHARED = Path(__file__).resolve().parents[2].parent / "shared" / "data"


def feature(kind, coordinates, **properties):
    return {
        "type": "Feature",
        "geometry": {"type": kind, "coordinates": coordinates},
        "properties": properties,
    }


def collection(*features):
    return json.dumps({"type": "FeatureCollection", "features": list(features)})


@pytest.fixture
def read(tmp_path):
    """Reads one layer from text, or from a file that is already there."""

    def read_one(text=None, *, name="layer.geojson", kind="river"):
        if text is not None:
            (tmp_path / name).write_text(text, encoding="utf-8")
        return read_backgrounds(tmp_path, [Background("a layer", name, kind)])

    return read_one


def told(result, folder):
    return [(fault.severity, str(fault).replace(f"{folder}/", "")) for fault in result.faults]


def lines(places):
    return tuple((lon, lat) for lon, lat in places)


def test_geojson_lines_areas_names_and_ranks(read):
    found = read(
        collection(
            feature("LineString", RIVER, GNIS_NAME="Otter  Run\n", StreamOrde=3),
            feature("MultiLineString", [RIVER, RIVER[:2]], name="", order="4"),
            feature("Polygon", [RING], name="Alder County"),
        )
    )
    assert found.faults == ()
    (layer,) = found.layers
    assert (layer.name, layer.kind) == ("a layer", "river")
    assert layer.features == (
        LayerFeature((lines(RIVER),), name="Otter Run", order=3.0),
        LayerFeature((lines(RIVER), lines(RIVER[:2]))),
        LayerFeature((lines(RING),), closed=True, name="Alder County"),
    )


def test_a_third_coordinate_is_left_out(read):
    (layer,) = read(collection(feature("LineString", [[*place, 12.0] for place in RIVER]))).layers
    assert layer.features[0].parts == (lines(RIVER),)


@pytest.mark.parametrize("crs", [4326, 4269, 32614])
def test_a_geopackage_of_another_reference_system_comes_out_in_degrees(read, tmp_path, crs):
    """UTM and NAD 83 are brought to WGS 84; NAD 83 differs by less than 2 m over the United States."""
    shapes = [LineString(RIVER), MultiLineString([RIVER[:2]]), Polygon(RING)]
    frame = geopandas.GeoDataFrame({"name": ["Otter", None, "x"]}, geometry=shapes, crs=4326).to_crs(crs)
    frame.to_file(tmp_path / "layer.gpkg", layer="lines")
    found = read(name="layer.gpkg")
    assert found.faults == ()
    river, bare, ring = found.layers[0].features
    assert (river.name, bare.name, ring.closed) == ("Otter", None, True)
    for (lon, lat), (wanted_lon, wanted_lat) in zip(river.parts[0], RIVER, strict=True):
        assert lon == pytest.approx(wanted_lon, abs=2e-5)
        assert lat == pytest.approx(wanted_lat, abs=2e-5)


def test_topojson_is_read_whatever_its_file_is_called(read):
    """A topology of one arc, quantised: scale and translate as the TopoJSON specification gives them."""
    topology = {
        "type": "Topology",
        "transform": {"scale": [0.01, 0.01], "translate": [-101.25, 41.7]},
        "arcs": [[[0, 5], [5, -5], [10, 2]]],
        "objects": {
            "rivers": {
                "type": "GeometryCollection",
                "geometries": [{"type": "LineString", "arcs": [0], "properties": {"name": "Otter Run"}}],
            }
        },
    }
    for name in ("layer.json", "layer.topojson"):
        found = read(json.dumps(topology), name=name)
        assert found.faults == ()
        (river,) = found.layers[0].features
        assert river.name == "Otter Run"
        assert river.parts[0] == tuple(pytest.approx(place) for place in lines(RIVER))


BAD = "lines and areas in longitude and latitude"


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("", "layer.geojson: the file is empty; export the layer again"),
        (
            '{"type": "FeatureColl',
            (
                "layer.geojson: the JSON text ends in the middle; got the end at line 1, column 10; "
                "export the layer again"
            ),
        ),
        (
            '{"type": "Point"}',
            (
                'layer.geojson: this is JSON, but no layer; got "Point"; '
                'allowed: an object with "type": "FeatureCollection", or a TopoJSON topology; '
                "export the layer again"
            ),
        ),
        (
            "[1]",
            (
                "layer.geojson: this is JSON, but no layer; got a list of 1; "
                'allowed: an object with "type": "FeatureCollection", or a TopoJSON topology; '
                "export the layer again"
            ),
        ),
        (
            collection(feature("Point", RIVER[0])),
            (
                "layer.geojson: the layer holds nothing that can be drawn; got 1 features, the first with "
                f"no line and no area; allowed: {BAD}; export the layer again"
            ),
        ),
    ],
)
def test_a_layer_that_cannot_be_read_is_told_and_left_out(read, tmp_path, text, wanted):
    found = read(text)
    assert found.layers == ()
    assert told(found, tmp_path) == [(Severity.FILE, wanted)]


def test_a_topology_that_is_none(read):
    found = read('{"type": "Topology", "arcs": 3}')
    assert found.layers == ()
    assert [(fault.severity, fault.code) for fault in found.faults] == [(Severity.FILE, "file_unreadable")]


def test_a_file_that_is_no_geopackage(read):
    found = read("no database", name="layer.gpkg")
    assert found.layers == ()
    (fault,) = found.faults
    assert (fault.severity, fault.code, fault.got) == (
        Severity.FILE,
        "file_unreadable",
        "'layer.gpkg' not recognized as being in a supported file format.",
    )


@pytest.mark.parametrize(
    ("geometry", "why"),
    [
        (None, "no geometry"),
        ("wire", "no geometry"),
        ({"type": "LineString", "coordinates": [[0, 0], [float("nan"), 1]]}, "no geometry"),
        ({"type": "LineString", "coordinates": [[0, 0], ["1", 1]]}, "no geometry"),
        ({"type": "LineString", "coordinates": [[0, 0]]}, "no geometry"),
        ({"type": "LineString", "coordinates": []}, "no line and no area"),
        (
            {"type": "LineString", "coordinates": [[630000, 4000000], [630100, 4000100]]},
            "a place that is no longitude and latitude",
        ),
    ],
)
def test_one_feature_that_cannot_be_drawn_costs_only_itself(read, tmp_path, geometry, why):
    spoilt = {"type": "Feature", "geometry": geometry, "properties": None}
    found = read(collection(feature("LineString", RIVER), spoilt, spoilt))
    assert len(found.layers[0].features) == 1
    assert told(found, tmp_path) == [
        (
            Severity.WARNING,
            (
                "layer.geojson, feature 2: this feature and 1 more cannot be drawn: left out; "
                f"got {why}; allowed: {BAD}; mend the layer, or leave it so"
            ),
        )
    ]


def test_a_broken_layer_leaves_the_next_one(tmp_path):
    (tmp_path / "a.geojson").write_text("{")
    (tmp_path / "b.geojson").write_text(collection(feature("LineString", RIVER)))
    entries = [Background("a", "a.geojson", "road"), Background("b", "b.geojson", "river")]
    found = read_backgrounds(tmp_path, entries)
    assert [layer.name for layer in found.layers] == ["b"]
    assert [fault.code for fault in found.faults] == ["json_cut"]


def test_a_file_that_went_away_after_county_toml_was_read(read, tmp_path):
    assert told(read(name="gone.gpkg"), tmp_path) == [
        (Severity.FILE, "gone.gpkg: the file is not there; check the path")
    ]


def test_real_rivers_and_counties():
    """746 river lines and the counties around, as SOURCES.md of the shared data counts them."""
    if not SHARED.is_dir():
        pytest.skip("the shared real data is not here")
    found = read_backgrounds(
        SHARED,
        [
            Background("rivers", "nhdplus_new_hope_flowlines.geojson", "river"),
            Background("counties", "us_counties_around_new_hope.geojson", "boundary"),
        ],
    )
    assert found.faults == ()
    rivers, counties = found.layers
    assert len(rivers.features) == 746
    assert {feature.order for feature in rivers.features} <= {1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0}
    assert any(feature.name == "New Hope Creek" for feature in rivers.features)
    assert all(feature.closed and feature.name for feature in counties.features)


def test_points_in_a_mixed_feature_are_left_out(read, tmp_path):
    frame = geopandas.GeoDataFrame(geometry=[LineString(RIVER), Point(RIVER[0])], crs=4326)
    frame.to_file(tmp_path / "layer.gpkg", layer="lines")
    found = read(name="layer.gpkg")
    assert len(found.layers[0].features) == 1
    assert [fault.code for fault in found.faults] == ["feature_not_drawn"]
