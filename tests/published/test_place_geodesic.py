"""Distances and bearings against a published geodesic, and GeoJSON's order of coordinates."""

from dataclasses import replace
from datetime import date
from math import atan2, degrees, hypot

import pytest

from atlas.frame import site_frame
from atlas.frame.metres import east_north
from atlas.records import Access, Anchor, AnchorUse, Bank, NearBank, Site


def test_long_geodesic():
    # GeographicLib, GeodSolve manual (read): 40.6, -73.8 to 49 deg 01' N, 2 deg 33' E
    east, north = east_north((-73.8, 40.6), [(2.0 + 33.0 / 60.0, 49.0 + 1.0 / 60.0)])[0]
    # printed to the metre and to five decimals of a degree
    assert hypot(east, north) == pytest.approx(5_853_226.0, abs=0.5)
    assert degrees(atan2(east, north)) == pytest.approx(53.47022, abs=5e-6)


def short_site(near, far):
    """Two track anchors, a flow and a width: the least that makes a frame."""
    access = dict.fromkeys(Access.__dataclass_fields__)
    access |= {"place": near, "surveyed": date(2026, 5, 2), "flow_toward_deg": 180.0, "width_m": 60.0}
    access |= {"reach_down_m": 20.0, "tied_off": False, "dangers": (), "flow_notes": ()}
    anchors = tuple(
        Anchor(
            tag=tag,
            bank=bank,
            uses=frozenset({AnchorUse.TRACK}),
            place=place,
            kind=None,
            diameter_m=None,
            height_m=2.0,
            height_assumed=False,
            rating_n=None,
            do_not_use=False,
        )
        for tag, bank, place in (("N1", Bank.NEAR, near), ("F1", Bank.FAR, far))
    )
    return Site("OT-01", "survey.geojson", Access(**access), anchors, (), (), (), ())


def test_short_geodesic_is_the_span():
    # computed with geographiclib (not this library): 0.001 degree of longitude at 38.889467 N
    frame = site_frame(short_site((-77.03524, 38.889467), (-77.03424, 38.889467)))
    # printed to 0.01 mm
    assert frame.span_m == pytest.approx(86.76102, abs=5e-6)


def test_longitude_comes_first():
    # RFC 7946, section 3.1.1 (read): longitude, latitude. 0.001 degree of the first moves less than
    # 0.001 degree of the second away from the equator, by the cosine of the latitude (0.778) as on a sphere
    site = short_site((-77.03524, 38.889467), (-77.03424, 38.889467))
    north_of_it = replace(site.anchors[1], place=(-77.03524, 38.890467))
    meridian = replace(
        site,
        anchors=(site.anchors[0], north_of_it),
        access=replace(site.access, flow_toward_deg=90.0),
    )
    # 1 %: flattening
    assert site_frame(site).span_m / site_frame(meridian).span_m == pytest.approx(0.778, rel=0.01)
    # facing east, a near bank to the south is on the right hand
    assert site_frame(meridian).near_bank is NearBank.RIGHT


def test_a_box_may_cross_the_180th_meridian():
    # RFC 7946, section 5.2 (read): coordinates on both sides of it belong together
    across = site_frame(short_site((179.9995, -17.0), (-179.9995, -17.0)))
    elsewhere = site_frame(short_site((20.0, -17.0), (20.001, -17.0)))
    # 0.01 mm: the same ellipsoid at the same latitude, longitudes rounded in the 14th digit
    assert across.span_m == pytest.approx(elsewhere.span_m, abs=1e-5)
