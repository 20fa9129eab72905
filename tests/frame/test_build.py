from dataclasses import replace
from math import atan, degrees, hypot, remainder

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from atlas.frame import SiteFrame, site_frame, stations
from atlas.records import AnchorUse, Bank, Danger, DangerKind, NearBank, Shape

bearings = st.floats(0.0, 360.0, exclude_max=True)
banks = st.sampled_from(NearBank)
PLACES = {
    "equator": (12.5, 1e-5),
    "180th meridian": (179.9999, -17.0),
    "180th meridian, other side": (-179.9999, 52.0),
    "UTM seam": (-102.0, 47.3),
    "greenwich": (0.00003, 51.5),
    "far north": (-150.0, 70.0),
}


def numbers_of(frame):
    """Every length and angle of a frame that does not depend on where on the globe it lies."""
    scalars = [
        getattr(frame, name) for name in SiteFrame.__dataclass_fields__ if name.endswith(("_m", "skew_deg"))
    ]
    points = [frame.access_at, *(anchor.at for anchor in frame.anchors), *(post.at for post in frame.posts)]
    points += [point for _, line in frame.edges for point in line]
    points += [point for area in frame.work_areas for part in area.parts for point in part]
    placed = stations(frame)
    points += [placed.ferry_near.at, placed.ferry_far.at, placed.up_down.at]
    return scalars + [value for point in points for value in point]


def test_the_drawing_comes_back(survey):
    frame = site_frame(survey.site())
    assert frame.span_m == pytest.approx(40.0, abs=1e-6)
    assert frame.rise_m == 0.5
    assert frame.chord_m == pytest.approx(hypot(40.0, 0.5), abs=1e-6)
    assert (frame.near_edge_x_m, frame.far_edge_x_m) == pytest.approx((2.0, 36.0), abs=1e-5)
    assert frame.width_m == pytest.approx(34.0, abs=1e-5)
    assert (frame.setback_near_m, frame.setback_far_m) == pytest.approx((2.0, 4.0), abs=1e-5)
    assert frame.skew_deg == pytest.approx(degrees(atan(0.1)), abs=1e-5)
    assert frame.reach_down_m == pytest.approx(22.0, abs=1e-5)
    assert (frame.near_tie_height_m, frame.far_tie_height_m) == (2.0, 2.5)
    assert (frame.track_near_tag, frame.track_far_tag) == ("N1", "F1")
    assert (frame.edges_drawn, frame.width_drawn, frame.reach_down_drawn) == (True, True, True)
    assert frame.posts[0].at == pytest.approx((5.0, 300.0), abs=1e-5)
    assert frame.access_at == pytest.approx((-30.0, 5.0), abs=1e-5)


def test_the_tie_points_lie_on_the_axis_exactly(survey):
    frame = site_frame(survey.site())
    assert frame.anchors[0].at == (0.0, 0.0)
    assert frame.anchors[1].at == (frame.span_m, 0.0)


@pytest.mark.parametrize(
    ("near_bank", "downstream_deg", "x_deg"),
    [
        # river runs north; the near bank on its left is the west bank: to the far bank is east
        (NearBank.LEFT, 0.0, 90.0),
        # and from the east bank, river right, to the far bank is west
        (NearBank.RIGHT, 0.0, 270.0),
        (NearBank.LEFT, 225.0, 315.0),
        (NearBank.RIGHT, 100.0, 10.0),
    ],
)
def test_bearings_of_the_axes(survey, near_bank, downstream_deg, x_deg):
    globe = survey.globe(downstream_deg=downstream_deg, near_bank=near_bank)
    frame = site_frame(survey.site(globe, access={"near_bank": near_bank}))
    for found_deg, drawn_deg in (
        (frame.x_azimuth_deg, x_deg),
        (frame.downstream_azimuth_deg, downstream_deg),
    ):
        assert 0.0 <= found_deg < 360.0
        assert remainder(found_deg - drawn_deg, 360.0) == pytest.approx(0.0, abs=1e-6)


@settings(max_examples=40)
@given(downstream_deg=bearings, near_bank=banks, place=st.sampled_from(sorted(PLACES)))
def test_turned_mirrored_and_moved_the_numbers_stay(survey, downstream_deg, near_bank, place):
    globe = survey.globe(PLACES[place], downstream_deg, near_bank)
    frame = site_frame(survey.site(globe, access={"near_bank": near_bank}))
    here = site_frame(survey.site())
    # 0.1 mm over the 300 m to the farthest point; the frame promises 1 mm
    assert numbers_of(frame) == pytest.approx(numbers_of(here), abs=1e-4)


@settings(max_examples=40)
@given(downstream_deg=bearings, near_bank=banks, off_deg=st.floats(-25.0, 25.0))
def test_flow_toward_alone_gives_axis_and_sense(survey, downstream_deg, near_bank, off_deg):
    globe = survey.globe(downstream_deg=downstream_deg, near_bank=near_bank)
    said = {
        "near_bank": None,
        "flow_toward_deg": (downstream_deg + off_deg) % 360.0,
        "width_m": 30.0,
    }
    frame = site_frame(survey.site(globe, edges=(), access=said))
    assert frame.near_bank is near_bank
    # +x is clockwise of downstream with the near bank on the left, anticlockwise on the right
    toward_x = off_deg if near_bank is NearBank.LEFT else -off_deg
    assert frame.skew_deg == pytest.approx(toward_x, abs=1e-5)


def test_a_surveyed_bearing_goes_before_the_edges(survey):
    frame = site_frame(survey.site(access={"flow_toward_deg": 215.0}))
    assert frame.skew_deg == pytest.approx(15.0, abs=1e-5)


def test_without_edges_the_setbacks_are_alike(survey):
    said = {"flow_toward_deg": 200.0, "width_m": 30.0}
    frame = site_frame(survey.site(edges=(), access=said))
    assert frame.width_m == pytest.approx(30.0)
    assert (frame.setback_near_m, frame.setback_far_m) == pytest.approx((5.0, 5.0), abs=1e-6)
    assert (frame.edges_drawn, frame.width_drawn) == (False, False)


def test_one_edge_and_the_width_give_the_other(survey):
    site = survey.site(access={"width_m": 33.0})
    near_only = site_frame(replace(site, edges=site.edges[:1]))
    assert (near_only.near_edge_x_m, near_only.far_edge_x_m) == pytest.approx((2.0, 35.0), abs=1e-5)
    far_only = site_frame(replace(site, edges=site.edges[1:]))
    assert (far_only.near_edge_x_m, far_only.far_edge_x_m) == pytest.approx((3.0, 36.0), abs=1e-5)
    assert (far_only.edges_drawn, far_only.width_drawn) == (True, False)


def test_the_first_usable_track_anchor_of_each_bank_is_taken(survey):
    globe = survey.globe()
    drawn = survey.site(globe)
    spoiled = replace(drawn.anchors[0], do_not_use=True)
    second = survey.anchor(globe(-1.0, 0.0), "N2", Bank.NEAR, AnchorUse.TRACK, AnchorUse.FERRY)
    third = survey.anchor(globe(-2.0, 0.0), "N3", Bank.NEAR, AnchorUse.TRACK)
    frame = site_frame(replace(drawn, anchors=(spoiled, second, third, drawn.anchors[1])))
    assert frame.track_near_tag == "N2"
    assert frame.span_m == pytest.approx(41.0, abs=1e-5)
    assert [anchor.tag for anchor in frame.anchors] == ["N1", "N2", "N3", "F1"]


def test_dangers_keep_kind_and_rings(survey):
    globe = survey.globe()
    shape = Shape(
        "polygon",
        (
            globe.line((5.0, 40.0), (9.0, 40.0), (9.0, 44.0), (5.0, 40.0)),
            globe.line((7.0, 41.0), (8.0, 41.0), (8.0, 42.0), (7.0, 41.0)),
        ),
    )
    site = survey.site(globe, dangers=(Danger(DangerKind.STRAINER, "strainer", shape, "root wad"),))
    (danger,) = site_frame(site).dangers
    assert (danger.kind, danger.kind_text, danger.note) == (DangerKind.STRAINER, "strainer", "root wad")
    assert danger.shape.parts[1][2] == pytest.approx((8.0, 42.0), abs=1e-5)


def test_an_edge_crossing_far_behind_the_tie_point_is_another_part_of_the_river(survey):
    globe = survey.globe()
    site = survey.site(globe)
    # the river comes back behind the near bank 60 m away: the edge there is not the edge here
    near = globe.line((-60.0, 30.0), (-60.0, -80.0), (-4.0, -60.0), (2.0, 0.0), (5.0, 30.0))
    frame = site_frame(replace(site, edges=((Bank.NEAR, near), site.edges[1])))
    assert frame.near_edge_x_m == pytest.approx(2.0, abs=1e-5)
    assert frame.skew_deg == pytest.approx(degrees(atan(0.1)), abs=1e-5)
