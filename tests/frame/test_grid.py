import re
from math import hypot

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pyproj import Transformer

from atlas.faults import OutOfRange
from atlas.frame import (
    DegreesMinutes,
    degrees_decimal_minutes,
    geo_uri,
    site_frame,
    to_lonlat,
    usng,
    usng_ticks,
)

places = st.tuples(st.floats(-180.0, 180.0), st.floats(-79.9, 83.9))


@given(lonlat=st.tuples(st.floats(-101.9, -96.1), st.floats(25.0, 48.9)))
def test_the_digits_are_those_of_the_utm_grid_cut_off(lonlat):
    easting, northing = Transformer.from_crs("EPSG:4326", "EPSG:32614", always_xy=True).transform(*lonlat)
    zone, _, east_text, north_text = usng(lonlat).split(" ")
    assert zone[:-1] == "14"
    # 1 mm: the grid library counts a place 0.5 mm short of the next metre as in it
    for text, value in ((east_text, easting), (north_text, northing)):
        assert int(text) in {int(value) % 100_000, int(value + 0.001) % 100_000}


@given(lonlat=places, digits=st.integers(1, 5))
def test_a_shorter_reference_is_the_longer_one_cut_off(lonlat, digits):
    zone, square, easting, northing = usng(lonlat).split(" ")
    assert usng(lonlat, digits=digits) == f"{zone} {square} {easting[:digits]} {northing[:digits]}"
    assert re.fullmatch(r"[0-9]{2}[C-HJ-NP-X] [A-HJ-NP-Z][A-HJ-NP-V] [0-9]{5} [0-9]{5}", usng(lonlat))


@pytest.mark.parametrize("latitude", [-80.5, 84.0, 91.0, float("nan")])
def test_no_grid_beyond_its_zones(latitude):
    with pytest.raises(OutOfRange) as raised:
        usng((-100.0, latitude))
    assert str(raised.value) == f"no grid zone at latitude {latitude:g}; allowed: -80 to 84 degrees"


def test_digits_out_of_range():
    with pytest.raises(OutOfRange, match=r"^grid reference of 6 digits; allowed: 1 to 5 each way$"):
        usng((-100.0, 40.0), digits=6)


def test_minutes_that_round_to_sixty_are_carried():
    latitude, longitude = degrees_decimal_minutes((-77.99999999, 38.0))
    assert latitude == DegreesMinutes(38, 0.0, "N")
    assert longitude == DegreesMinutes(78, 0.0, "W")


@given(lonlat=places, decimals=st.integers(0, 4))
def test_degrees_and_minutes_add_up(lonlat, decimals):
    for read, angle in zip(
        degrees_decimal_minutes(lonlat, decimals=decimals), (lonlat[1], lonlat[0]), strict=True
    ):
        sign = -1.0 if read.hemisphere in "SW" else 1.0
        assert 0.0 <= read.minutes < 60.0
        half_a_digit = 0.5 * 10.0**-decimals / 60.0
        assert sign * (read.degrees + read.minutes / 60.0) == pytest.approx(angle, abs=half_a_digit + 1e-12)


@given(lonlat=places)
def test_geo_uri_reads_back(lonlat):
    text = geo_uri(lonlat)
    assert re.fullmatch(r"geo:-?[0-9]+\.[0-9]{6},-?[0-9]+\.[0-9]{6}", text)
    assert "-0.000000" not in text
    latitude, longitude = (float(part) for part in text.removeprefix("geo:").split(","))
    assert latitude == pytest.approx(lonlat[1], abs=5.1e-7)
    assert (longitude - lonlat[0] + 180.0) % 360.0 - 180.0 == pytest.approx(0.0, abs=5.1e-7)


def test_the_180th_meridian_has_no_minus_sign():
    assert geo_uri((-180.0, -17.5)) == "geo:-17.500000,180.000000"


BOUNDS = (-10.0, -30.0, 50.0, 60.0)


@pytest.mark.parametrize("origin", [(-101.25, 41.75), (179.9999, -17.0), (12.5, 1e-5), (-102.0, 47.3)])
def test_ticks_lie_on_whole_metres_of_the_grid(survey, origin):
    frame = site_frame(survey.site(survey.globe(origin, downstream_deg=77.0)))
    lines = usng_ticks(frame, BOUNDS, spacing_m=10)
    assert {line.axis for line in lines} == {"easting", "northing"}
    zone = int(usng(origin)[:2])
    hemisphere = 32700 if origin[1] < 0.0 else 32600
    utm = Transformer.from_crs("EPSG:4326", f"EPSG:{hemisphere + zone}", always_xy=True)
    for line in lines:
        assert line.value_m % 10 == 0
        lonlat = to_lonlat(frame, np.linspace(line.start, line.end, 5))
        along = utm.transform(lonlat[:, 0], lonlat[:, 1])[0 if line.axis == "easting" else 1]
        assert along == pytest.approx(np.full(5, line.value_m), abs=1e-3)


def test_ticks_stay_inside_and_none_is_missing(survey):
    frame = site_frame(survey.site())
    lines = usng_ticks(frame, BOUNDS, spacing_m=10)
    x_0, y_0, x_1, y_1 = BOUNDS
    for line in lines:
        for x, y in (line.start, line.end):
            assert x_0 - 1e-9 <= x <= x_1 + 1e-9
            assert y_0 - 1e-9 <= y <= y_1 + 1e-9
            # and runs from border to border
            assert min(abs(x - x_0), abs(x - x_1), abs(y - y_0), abs(y - y_1)) == pytest.approx(0.0, abs=1e-9)
    # a line of length l every 10 m: together they cover the plan's area once for each axis
    area = (x_1 - x_0) * (y_1 - y_0)
    for axis in ("easting", "northing"):
        ours = [line for line in lines if line.axis == axis]
        length = sum(hypot(line.end[0] - line.start[0], line.end[1] - line.start[1]) for line in ours)
        # 10 %: the strips at two corners are cut off
        assert 10.0 * length == pytest.approx(area, rel=0.1)
        values = [line.value_m for line in ours]
        assert values == list(range(values[0], values[-1] + 10, 10))


def test_wider_spacing_is_a_part_of_the_finer_lines(survey):
    frame = site_frame(survey.site())
    fine = usng_ticks(frame, BOUNDS, spacing_m=10)
    coarse = usng_ticks(frame, BOUNDS, spacing_m=50)
    assert {(line.axis, line.value_m) for line in coarse} == {
        (line.axis, line.value_m) for line in fine if line.value_m % 50 == 0
    }
