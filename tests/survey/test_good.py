from __future__ import annotations

import json
from datetime import date

import pytest

from atlas.faults import Severity
from atlas.records import (
    AnchorUse,
    Bank,
    DangerKind,
    FlowNote,
    LowHeadDam,
    MeanKind,
    NearBank,
    PostKind,
)


def only_site(result):
    assert [str(fault) for fault in result.faults if fault.severity is not Severity.WARNING] == []
    (site,) = result.sites
    return site


def test_a_good_survey_has_no_fault(survey, read):
    result = read(survey)
    assert result.faults == ()
    assert result.broken == ()
    assert result.codes == ("OT-01",)


def test_access(survey, read):
    survey["features"][0]["properties"] |= {
        "name": "Gué des  pe\N{COMBINING ACUTE ACCENT}ri\tls\n",
        "river": "Rivière",
        "planning_stage": "5 ft",
        "flow_toward": "180 deg",
        "lock_off": "tied_off",
        "launch_method": "slingshot",
        "rig": "movable-control-point",
        "far_minutes": "1 h",
        "near_run": "40 ft",
        "dam": {"name": "Upper dam", "phone": "555-0100", "travel_min": 40},
        "dangers": ["wire", "cold water"],
        "road": "",
        "radio": None,
    }
    access = only_site(read(survey)).access
    assert access.name == "Gué des péri ls"
    assert access.river == "Rivière"
    assert (access.reach, access.agency, access.surveyed) == ("OT", "VFD", date(2025, 8, 14))
    assert access.near_bank is NearBank.RIGHT
    assert access.planning_stage_m == pytest.approx(1.524, rel=1e-15)
    assert access.width_m == pytest.approx(118 * 0.3048, rel=1e-15)
    assert access.flow_toward_deg == 180.0
    assert access.tied_off
    assert (access.launch_method, access.rig) == ("slingshot", "movable-control-point")
    assert access.far_minutes == 60.0
    assert access.near_run_m == pytest.approx(12.192, rel=1e-15)
    assert access.dam == LowHeadDam("Upper dam", "555-0100", 40.0)
    assert access.dangers == ("wire", "cold water")
    assert access.road is None
    assert access.radio is None


def test_the_river_is_the_reach_s_where_the_survey_names_none(survey, read):
    assert only_site(read(survey)).access.river == "Otter River"


def test_a_device_holds_the_line_unless_it_is_tied_off(survey, read):
    assert not only_site(read(survey)).access.tied_off


def test_flow_notes(survey, read):
    survey["features"][0]["properties"]["flow_notes"] = json.dumps(
        [
            {"surface_speed": "6.5 mph"},
            {"discharge": "1850 cfs", "mean_speed": 1.1, "mean_kind": "vertical", "depth": "3 ft"},
            {"date": "2026-06-01", "stage": "5 ft", "mean_speed": 0.8, "surface_speed": 1.0, "note": "float"},
        ]
    )
    result = read(survey)
    assert only_site(result).access.flow_notes == (
        FlowNote(None, 1.2, True, None, None, pytest.approx(6.5 * 0.44704), None, None, None),
        FlowNote(
            None, None, False, pytest.approx(1850 * 0.028316846592), None, None, 1.1, MeanKind.VERTICAL,
            pytest.approx(0.9144),
        ),
        FlowNote(
            date(2026, 6, 1), pytest.approx(1.524), False, None, None, 1.0, 0.8, MeanKind.SECTION, None,
            "float",
        ),
    )  # fmt: skip
    assert [fault.code for fault in result.faults] == ["mean_kind_assumed"]


def test_a_note_without_stage_on_a_day_without_stage(survey, read):
    del survey["features"][0]["properties"]["stage"]
    survey["features"][0]["properties"]["flow_notes"] = [{"surface_speed": 2}]
    (note,) = only_site(read(survey)).access.flow_notes
    assert note.stage_m is None
    assert note.stage_assumed


def test_anchors(survey, read):
    near, far = survey["features"][1]["properties"], survey["features"][2]["properties"]
    near |= {"condition": "poor", "note": "leans", "girth": None}
    del far["diameter"], far["height"]
    far |= {"girth": "5 ft", "condition": "fair"}
    first, second = only_site(read(survey)).anchors
    assert (first.tag, first.bank, first.uses) == ("N1", Bank.NEAR, {AnchorUse.TRACK})
    assert first.place == (-101.25, 41.75)
    assert first.diameter_m == pytest.approx(0.4572)
    assert first.rating_n == 40e3
    assert first.note == "poor; leans"
    assert not first.height_assumed
    assert second.uses == {AnchorUse.TRACK, AnchorUse.FERRY}
    assert second.diameter_m == pytest.approx(5 * 0.3048 / 3.141592653589793)
    assert (second.height_m, second.height_assumed) == (0.5, True)
    assert second.note == "fair"
    assert not second.do_not_use


def test_tags_are_made_by_bank_and_order_and_step_round_given_ones(survey, read):
    features = survey["features"]
    features[1]["properties"]["tag"] = "n2"
    del features[2]["properties"]["tag"]
    for _ in range(2):
        extra = json.loads(json.dumps(features[1]))
        extra["properties"] |= {"tag": None, "use": "ferry", "condition": "do_not_use"}
        features.append(extra)
    site = only_site(read(survey))
    assert [(anchor.tag, anchor.do_not_use) for anchor in site.anchors] == [
        ("n2", False), ("F1", False), ("N3", True), ("N4", True),
    ]  # fmt: skip


def test_surroundings(survey, read):
    survey["features"][6]["geometry"] = {
        "type": "GeometryCollection",
        "geometries": [
            {"type": "MultiPoint", "coordinates": [[-101.25, 41.749, 200.0], [-101.2499, 41.749]]},
            {
                "type": "Polygon",
                "coordinates": [
                    [[-101.25, 41.749], [-101.25, 41.748], [-101.249, 41.748], [-101.25, 41.749]]
                ],
            },
        ],
    }
    survey["features"][6]["properties"]["kind"] = "old mill race"
    site = only_site(read(survey))
    assert [(danger.kind, danger.kind_text, danger.shape.kind) for danger in site.dangers] == [
        (DangerKind.OTHER, "old mill race", "point"),
        (DangerKind.OTHER, "old mill race", "point"),
        (DangerKind.OTHER, "old mill race", "polygon"),
    ]
    assert site.dangers[0].shape.parts == (((-101.25, 41.749),),)
    assert {danger.note for danger in site.dangers} == {"cottonwood"}
    assert [bank for bank, _ in site.edges] == [Bank.NEAR, Bank.FAR]
    assert [post.kind for post in site.posts] == [PostKind.UPSTREAM_SPOTTER]
    assert [area.shape.kind for area in site.work_areas] == ["point"]


def test_a_multi_geometry_of_one_part_is_that_part(survey, read):
    geometry = survey["features"][3]["geometry"]
    survey["features"][3]["geometry"] = {"type": "MultiLineString", "coordinates": [geometry["coordinates"]]}
    line = tuple(tuple(place) for place in geometry["coordinates"])
    assert only_site(read(survey)).edges[0] == (Bank.NEAR, line)


def test_wrong_winding_is_not_rejected(survey, read):
    # RFC 7946, 3.1.6: parsers should not reject polygons that do not follow the right-hand rule
    ring = [[-101.2499, 41.7499], [-101.2496, 41.7499], [-101.2496, 41.7498], [-101.2499, 41.7498]]
    for way in (ring, ring[::-1]):
        survey["features"][5]["geometry"] = {"type": "Polygon", "coordinates": [[*way, way[0]]]}
        assert only_site(read(survey)).work_areas[0].shape.kind == "polygon"


@pytest.mark.parametrize(
    "name", ["urn:ogc:def:crs:OGC:1.3:CRS84", "EPSG:4326", "urn:ogc:def:crs:EPSG::4326", "OGC:CRS84"]
)
def test_names_of_the_one_reference_system(survey, read, name):
    survey["crs"] = {"type": "name", "properties": {"name": name}}
    assert read(survey).faults == ()


def test_a_byte_order_mark_and_line_ends_do_not_matter(survey, read):
    text = json.dumps(survey, indent=1).replace("\n", "\r\n")
    assert read(b"\xef\xbb\xbf" + text.encode()).faults == ()


def test_agencies_are_not_checked_where_nobody_knows_them(survey, read):
    survey["features"][0]["properties"]["agency"] = "XYZ"
    assert read(survey, agencies=None).faults == ()


def test_other_members_of_the_file_and_of_features_are_left_alone(survey, read):
    survey |= {"name": "export", "bbox": [-102, 41, -101, 42]}
    survey["features"][0] |= {"id": 7, "bbox": [-102, 41, -101, 42]}
    assert read(survey).faults == ()
