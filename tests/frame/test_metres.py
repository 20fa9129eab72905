import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pyproj import Transformer

from atlas.frame import site_frame, to_lonlat, to_site_xy
from atlas.frame.metres import east_north, left_sign, lon_lat, to_along_left
from atlas.records import NearBank

places = st.tuples(st.floats(-180.0, 180.0), st.floats(-75.0, 75.0))


@given(origin=places, east=st.floats(-500.0, 500.0), north=st.floats(-500.0, 500.0))
def test_agrees_with_a_transverse_mercator_about_the_same_point(origin, east, north):
    crs = f"+proj=tmerc +lat_0={origin[1]!r} +lon_0={origin[0]!r} +k=1 +ellps=WGS84"
    placed = Transformer.from_crs(crs, "EPSG:4326", always_xy=True).transform(east, north)
    # 1e-4 m: the two projections differ by r^3 / R^2 = 3 micrometres at 500 m, and by grid convergence
    # carried over the point's own distance; the frame promises 1 mm
    assert east_north(origin, [placed])[0] == pytest.approx((east, north), abs=1e-4)


@given(origin=places, east=st.floats(-3000.0, 3000.0), north=st.floats(-3000.0, 3000.0))
def test_there_and_back(origin, east, north):
    metres = np.array([(east, north)])
    assert east_north(origin, lon_lat(origin, metres)) == pytest.approx(metres, abs=1e-6)


def test_bearings_turn_into_along_and_left():
    # walking east (90 degrees): a point to the north is on the left hand
    north, east = (0.0, 1.0), (1.0, 0.0)
    assert to_along_left(np.array([north, east]), 90.0) == pytest.approx(np.array([(0, 1), (1, 0)]))
    # walking south-west: north-west is on the right hand
    north_west = (-np.sqrt(0.5), np.sqrt(0.5))
    assert to_along_left(np.array([north_west]), 225.0) == pytest.approx(np.array([(0.0, -1.0)]))


def test_turning_keeps_lengths():
    points = np.array([(3.0, 4.0), (-12.0, 5.0)])
    turned = to_along_left(points, 73.0)
    assert np.hypot(*turned.T) == pytest.approx([5.0, 13.0])


def test_near_bank_left_has_downstream_on_the_left_of_near_to_far():
    # river runs north, near bank is its left bank (west): near to far is east, downstream is left of east
    assert left_sign(NearBank.LEFT) == 1.0
    assert left_sign(NearBank.RIGHT) == -1.0


@pytest.mark.parametrize("near_bank", list(NearBank))
def test_site_coordinates_there_and_back(survey, near_bank):
    globe = survey.globe(downstream_deg=37.0, near_bank=near_bank)
    frame = site_frame(survey.site(globe, access={"near_bank": near_bank}))
    drawn = np.array([(0.0, 0.0), (40.0, 0.0), (11.0, -60.0), (250.0, 400.0)])
    lonlat = [globe(x, y) for x, y in drawn]
    assert to_site_xy(frame, lonlat) == pytest.approx(drawn, abs=1e-4)
    assert to_lonlat(frame, drawn) == pytest.approx(np.array(lonlat), abs=1e-9)


def test_no_points_give_no_rows(survey):
    frame = site_frame(survey.site())
    assert to_site_xy(frame, np.empty((0, 2))).shape == (0, 2)
    assert to_lonlat(frame, np.empty((0, 2))).shape == (0, 2)
