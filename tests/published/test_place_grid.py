"""Grid reference and geo URI against their standards."""

import pytest

from atlas.frame import geo_uri, usng

# US National Grid, FGDC-STD-011-2001, section 5.2.2 (read second-hand): UTM 18, NAD 83,
# E 323483.168, N 4306479.498; the geographic place was computed independently from it.
LONLAT = (-77.0352402156242, 38.889467309501576)


@pytest.mark.parametrize(
    ("digits", "reference"),
    # text, so no tolerance: 0647 and not 0648 shows that digits are cut off, not rounded
    [(5, "18S UJ 23483 06479"), (4, "18S UJ 2348 0647")],
)
def test_us_national_grid(digits, reference):
    assert usng(LONLAT, digits=digits) == reference


def test_geo_uri():
    # RFC 5870, section 6.1 (read): latitude first; ours carries no altitude, and writes six decimals
    assert geo_uri((16.3695, 48.2010)) == "geo:48.201000,16.369500"


def test_geo_uri_has_neither_plus_sign_nor_exponent():
    # RFC 5870, section 3.3 (read): num is digits with an optional fraction
    assert geo_uri((0.0000001, 0.00001)) == "geo:0.000010,0.000000"
