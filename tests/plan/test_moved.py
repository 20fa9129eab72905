"""A survey turned, mirrored, moved over the 180th meridian or told in feet gives the same numbers.

Places are moved as an ideal surveyor would: along geodesics (pyproj), heights kept. On an ellipsoid a
turned figure is no exact copy: over the 300 m of a survey the difference is (300 m / Earth's radius)^2,
2e-9 of a length; tensions hang on it through stretches of a hundredth, so 1e-6 is asked of everything, and
a thousandth of a newton of forces that are small differences of great ones. Bearings turn with the survey.
"""

import json
from dataclasses import replace
from pathlib import Path

import pytest
import shapely
from pyproj import Geod

from atlas.records import AnchorUse, Bank, NearBank
from atlas.survey import read_sites

GEOD = Geod(ellps="WGS84")


def moved(site, move, **access_changes):
    """The site with every place moved; `access_changes` as the move asks for them."""

    def shape(one):
        return replace(one, parts=tuple(tuple(map(move, part)) for part in one.parts))

    return replace(
        site,
        access=replace(site.access, place=move(site.access.place), **access_changes),
        anchors=tuple(replace(anchor, place=move(anchor.place)) for anchor in site.anchors),
        edges=tuple((bank, tuple(map(move, line))) for bank, line in site.edges),
        work_areas=tuple(replace(area, shape=shape(area.shape)) for area in site.work_areas),
        dangers=tuple(replace(danger, shape=shape(danger.shape)) for danger in site.dangers),
        posts=tuple(replace(post, place=move(post.place)) for post in site.posts),
    )


def middle_of(site):
    places = [anchor.place for anchor in site.anchors]
    return tuple(sum(values) / len(values) for values in zip(*places, strict=True))


def turned(site, angle_deg):
    """Turned clockwise about the near tie point, where bearings are counted."""
    near = next(
        anchor.place
        for anchor in site.anchors
        if anchor.bank is Bank.NEAR and AnchorUse.TRACK in anchor.uses and not anchor.do_not_use
    )

    def move(place):
        azimuth, _, distance_m = GEOD.inv(*near, *place)
        lon, lat, _ = GEOD.fwd(*near, azimuth + angle_deg, distance_m)
        return lon, lat

    flow = site.access.flow_toward_deg
    return moved(site, move, flow_toward_deg=None if flow is None else (flow + angle_deg) % 360.0)


def mirrored(site):
    """East and west changed about the meridian through the middle: an exact mirror on the ellipsoid."""
    middle_lon = middle_of(site)[0]
    access = site.access
    other = {NearBank.LEFT: NearBank.RIGHT, NearBank.RIGHT: NearBank.LEFT, None: None}
    return moved(
        site,
        lambda place: (2.0 * middle_lon - place[0], place[1]),
        near_bank=other[access.near_bank],
        flow_toward_deg=None if access.flow_toward_deg is None else (-access.flow_toward_deg) % 360.0,
    )


def bearings(plan):
    """Bearing of each anchor's pull from that of the track line [degrees]."""
    return {
        anchor.tag: (anchor.pull_bearing_deg - plan.frame.x_azimuth_deg) % 360.0
        for anchor in plan.chosen.anchors
        if anchor.pull_bearing_deg is not None
    }


def over_the_180th(site):
    """East or west along the parallel, the middle onto the 180th meridian: an exact copy."""
    shift = 180.0 - middle_of(site)[0]
    return moved(site, lambda place: ((place[0] + shift + 180.0) % 360.0 - 180.0, place[1]))


def grounds(plan):
    """Every ground of the chosen rig's answers."""
    answers, track = plan.chosen.answers, plan.track_line.track_answers
    told = [answers.no_go.loaded, answers.no_go.whole, track.far_ferry_lost.ground]
    told += [ground for _, ground in answers.no_go.parts]
    return [
        shapely.union_all([shapely.make_valid(shapely.Polygon(shell, holes)) for shell, *holes in ground])
        for ground in told
    ]


def assert_same(one, other, leaves):
    """Every number of the rig and of the frame; texts by their code, since a rounded figure may flip.

    Grounds by what they cover: a corner between two that lie in line may be there or not.
    """
    for each, same in zip(grounds(one), grounds(other), strict=True):
        apart = shapely.symmetric_difference(each, same).area
        assert apart <= 1e-4 * max(each.area, 1.0)
    skip = ("no_go", "ground",
        "place", "text", "name", "origin", "x_azimuth_deg", "downstream_azimuth_deg", "near_bank",
        "access_at", "pull_bearing_deg",
    )  # fmt: skip
    for part in (lambda plan: plan.chosen, lambda plan: plan.frame, lambda plan: plan.warnings):
        first, second = leaves(part(one), *skip), leaves(part(other), *skip)
        assert list(first) == list(second)
        for at, value in first.items():
            if isinstance(value, float):
                least = 1e-3 if at.endswith("_n") else 1e-5
                assert second[at] == pytest.approx(value, rel=1e-6, abs=least), at
            else:
                assert second[at] == value, at


# a skewed flow told beside drawn edges, and a flow told without them
@pytest.mark.parametrize(("code", "angle_deg"), [("OT-05", 78.0), ("WEN-01", 200.0)])
def test_turned(demo, leaves, code, angle_deg):
    there = demo.plan(turned(demo.sites[code], angle_deg))
    assert_same(demo.plans[code], there, leaves)
    assert bearings(there) == pytest.approx(bearings(demo.plans[code]), abs=1e-3)


@pytest.mark.parametrize("code", ["OT-05", "WEN-06"])
def test_mirrored(demo, leaves, code):
    there = demo.plan(mirrored(demo.sites[code]))
    assert there.frame.near_bank is not demo.plans[code].frame.near_bank
    assert_same(demo.plans[code], there, leaves)
    left = {tag: -bearing % 360.0 for tag, bearing in bearings(there).items()}
    assert left == pytest.approx(bearings(demo.plans[code]), abs=1e-3)


@pytest.mark.parametrize("code", ["OT-06", "WEN-05"])
def test_moved_over_the_180th_meridian(demo, leaves, code):
    there = demo.plan(over_the_180th(demo.sites[code]))
    lons = [anchor.place[0] for anchor in there.site.anchors]
    assert min(lons) < -179.9 < 179.9 < max(lons)
    assert_same(demo.plans[code], there, leaves)


LENGTHS = {"width", "reach_down", "stage", "planning_stage", "near_run", "depth", "diameter", "height"}


def in_feet(value, key=None):
    """A survey's JSON with each bare number of metres as text in feet."""
    if isinstance(value, dict):
        return {name: in_feet(item, name) for name, item in value.items()}
    if isinstance(value, list):
        return [in_feet(item) for item in value]
    if key in LENGTHS and isinstance(value, (int, float)):
        return f"{value / 0.3048!r} ft"
    return value


def test_told_in_feet(demo, leaves, tmp_path):
    source = demo.sites["WEN-04"].file
    survey = json.loads(Path(source).read_text(encoding="utf-8"))
    features = [f for f in survey["features"] if f["properties"]["site"] == "WEN-04"]
    told = [{**f, "properties": in_feet(f["properties"])} for f in features]
    assert sum("ft" in json.dumps(f["properties"]) for f in told) == 6  # the access and five anchors
    path = tmp_path / "feet.geojson"
    path.write_text(json.dumps({**survey, "features": told}), encoding="utf-8")
    (site,) = read_sites(
        [path], county=demo.county, agency_codes=None, as_of=demo.plans["WEN-04"].as_of
    ).sites
    assert_same(demo.plans["WEN-04"], demo.plan(site), leaves)


def test_the_county_s_units_change_words_and_not_numbers(demo, leaves):
    there = demo.plan("WEN-05", units="si")
    here = demo.plans["WEN-05"]
    assert_same(here, there, leaves)
    assert here.warnings != there.warnings or here.chosen.stages != there.chosen.stages


def test_an_si_county_paces_its_float_in_metres(demo):
    limit = demo.plan("PC-01", units="si").chosen.limit
    assert limit.float_distance_m % 5.0 == 0.0
    assert limit.surface_speed_m_s == demo.plans["PC-01"].chosen.limit.surface_speed_m_s
    assert 10.0 <= limit.float_seconds < 10.0 + 5.0 / limit.surface_speed_m_s
