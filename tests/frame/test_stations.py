from dataclasses import replace
from math import hypot, radians, tan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from atlas.frame import site_frame, stations
from atlas.records import AnchorUse, Bank


def with_anchors(survey, *extra):
    globe = survey.globe()
    site = survey.site(globe)
    added = tuple(
        survey.anchor(globe(x, y), tag, bank, *uses, height_m=1.4, do_not_use=spoiled)
        for tag, bank, uses, x, y, spoiled in extra
    )
    return site_frame(replace(site, anchors=site.anchors + added))


def square(survey, span_m=40.0):
    globe = survey.globe()
    site = survey.site(globe, edges=(), access={"flow_toward_deg": 200.0, "width_m": 4.0})
    far = survey.anchor(globe(span_m, 0.0), "F1", Bank.FAR, AnchorUse.TRACK, height_m=2.5)
    return site_frame(replace(site, anchors=(site.anchors[0], far)))


@pytest.mark.parametrize(("span_m", "ferry_m"), [(12.0, 3.0), (32.0, 8.0), (40.0, 8.0), (120.0, 8.0)])
def test_placed_ferry_stations_stand_the_lesser_of_8_m_and_a_quarter_span_upriver(survey, span_m, ferry_m):
    placed = stations(square(survey, span_m))
    assert placed.ferry_near.at == pytest.approx((0.0, -ferry_m), abs=1e-4)
    assert placed.ferry_far.at == pytest.approx((span_m, -ferry_m), abs=1e-4)
    assert placed.up_down.at == pytest.approx((0.0, 8.0), abs=1e-4)


def test_placed_stations_say_so(survey):
    placed = stations(square(survey))
    assert [(one.surveyed, one.tag) for one in (placed.ferry_near, placed.ferry_far, placed.up_down)] == [
        (False, None)
    ] * 3
    assert (placed.ferry_near.height_m, placed.ferry_far.height_m, placed.up_down.height_m) == (2.0, 2.5, 2.0)
    assert (placed.ferry_near.bank, placed.ferry_far.bank, placed.up_down.bank) == (
        Bank.NEAR,
        Bank.FAR,
        Bank.NEAR,
    )
    assert (placed.ferry_near.use, placed.up_down.use) == (AnchorUse.FERRY, AnchorUse.UP_DOWN)


def test_policy_moves_them(survey):
    frame = square(survey)
    placed = stations(frame, ferry_upriver_most_m=5.0, ferry_upriver_of_span=0.5, up_down_downriver_m=12.0)
    assert placed.ferry_near.at == pytest.approx((0.0, -5.0), abs=1e-4)
    assert placed.up_down.at == pytest.approx((0.0, 12.0), abs=1e-4)


@given(skew_deg=st.floats(-55.0, 55.0))
def test_beside_a_skewed_river_they_keep_the_tie_points_distance_from_the_water(survey, skew_deg):
    site = survey.site(edges=(), access={"flow_toward_deg": 200.0 + skew_deg, "width_m": 30.0})
    frame = site_frame(site)
    placed = stations(frame)
    slope = tan(radians(frame.skew_deg))
    for station, tie_x_m in (
        (placed.ferry_near, 0.0),
        (placed.ferry_far, frame.span_m),
        (placed.up_down, 0.0),
    ):
        x, y = station.at
        # carried along the flow onto the track line it comes out at its tie point
        assert x - y * slope == pytest.approx(tie_x_m, abs=1e-9)
        assert hypot(x - tie_x_m, y) == pytest.approx(8.0)
    assert placed.ferry_near.at[1] < 0.0 < placed.up_down.at[1]


def test_surveyed_anchors_go_before_policy(survey):
    placed = stations(
        with_anchors(
            survey,
            ("NF", Bank.NEAR, (AnchorUse.FERRY,), -3.0, -10.0, False),
            ("FF", Bank.FAR, (AnchorUse.FERRY,), 41.0, -12.0, False),
            ("UD", Bank.NEAR, (AnchorUse.UP_DOWN,), -1.0, 6.0, False),
        )
    )
    assert [one.tag for one in (placed.ferry_near, placed.ferry_far, placed.up_down)] == ["NF", "FF", "UD"]
    assert placed.ferry_far.at == pytest.approx((41.0, -12.0), abs=1e-5)
    assert (placed.ferry_far.surveyed, placed.ferry_far.height_m) == (True, 1.4)


def test_unusable_other_bank_and_wrong_side_do_not_serve(survey):
    placed = stations(
        with_anchors(
            survey,
            ("X1", Bank.NEAR, (AnchorUse.FERRY,), -3.0, -10.0, True),
            ("X2", Bank.NEAR, (AnchorUse.FERRY,), -3.0, 9.0, False),
            ("X3", Bank.FAR, (AnchorUse.UP_DOWN,), 41.0, 9.0, False),
            ("X4", Bank.NEAR, (AnchorUse.UP_DOWN,), -3.0, -9.0, False),
        )
    )
    assert (placed.ferry_near.surveyed, placed.ferry_near.set_aside) == (False, ("X2",))
    assert (placed.up_down.surveyed, placed.up_down.set_aside) == (False, ("X4",))
    assert placed.ferry_far.set_aside == ()


def test_the_track_tie_point_serves_only_if_nothing_else_does(survey):
    globe = survey.globe()
    site = survey.site(globe)
    tie = replace(site.anchors[0], uses=frozenset({AnchorUse.TRACK, AnchorUse.FERRY}))
    alone = stations(site_frame(replace(site, anchors=(tie, site.anchors[1]))))
    assert (alone.ferry_near.tag, alone.ferry_near.at) == ("N1", (0.0, 0.0))
    apart = survey.anchor(globe(-2.0, -7.0), "NF", Bank.NEAR, AnchorUse.FERRY)
    both = stations(site_frame(replace(site, anchors=(tie, site.anchors[1], apart))))
    assert both.ferry_near.tag == "NF"
