"""Maps held against geodesics of pyproj, the finished PDF, and real river lines."""

import math
import random
from dataclasses import replace
from datetime import date
from io import BytesIO
from itertools import combinations
from pathlib import Path

import pikepdf
import pypdfium2
import pytest
from hypothesis import given
from hypothesis import settings as effort
from hypothesis import strategies as st
from pypdf import PdfReader
from pyproj import Geod
from shapely.geometry import LineString, box

from atlas.binder import NotPrinted, bind
from atlas.binder.map_frame import fit_map, graticule, nice_length
from atlas.binder.map_sites import MapSite, Verdict
from atlas.binder.map_tiles import SITES_MOST, split_sites
from atlas.paper import Box, Circle, Line, Link, Polyline, Rect, Text
from atlas.records import Background, Layer, LayerFeature, Reach
from atlas.survey.background import read_backgrounds

GEOD = Geod(ellps="WGS84")
FRAME = Box(left_mm=20.0, top_mm=30.0, width_mm=180.0, height_mm=210.0)
SHARED = Path(__file__).resolve().parents[2].parent / "shared" / "data"
REACH = Reach("NH", "New Hope", "New Hope Creek")


def lost(code, place, reach="NH", name="Ford"):
    """A site that is on the maps and has no sheet: quick to make, and drawn as any other."""
    return NotPrinted(code, name, reach, (), place=place)


def scattered(count, *, seed=1, size_deg=0.2, at=(-101.25, 41.75)):
    rng = random.Random(seed)  # noqa: S311 - repeatable places, nothing secret
    return [
        (at[0] + rng.uniform(-size_deg, size_deg), at[1] + rng.uniform(-size_deg, size_deg))
        for _ in range(count)
    ]


@pytest.fixture(scope="module")
def maps_of(settings, template, sheet_of):
    """The map pages of a county of sites, and the binder they are in."""
    plan = sheet_of("OT-2").plan

    def make(sites, *, layers=(), units="us", backgrounds=(), reaches=(REACH,)):
        county = replace(plan.county, reaches=reaches, units=units, backgrounds=backgrounds)
        book = bind(
            sites,
            county=county,
            agencies=(replace(plan.agency, station=None),),
            policy=settings.policy,
            words=settings.words,
            template=template,
            as_of=date(2026, 6, 1),
            layers=layers,
        )
        return [page for page in book.pages if page.label.startswith("Map")], book

    return make


def texts(page):
    return [item.text.strip() for item in page.page.items if isinstance(item, Text)]


def links(page):
    return [item.destination for item in page.page.items if isinstance(item, Link)]


# ---- the projection


@pytest.mark.parametrize("middle", [(-101.25, 41.75), (179.98, -17.0), (12.0, 69.5)])
def test_distances_and_bearings_on_the_map_are_those_of_the_geodesic(middle):
    """Over 40 km the projection errs by 1e-5 of a distance between any two places (r^2 / 6 R^2 at 40 km)."""
    places = [GEOD.fwd(*middle, azimuth, 20_000.0)[:2] for azimuth in range(0, 360, 30)]
    view = fit_map(places, (), FRAME, least_share=1.0)
    for one, other in combinations(places, 2):
        azimuth, _, metres = GEOD.inv(*one, *other)
        (x1, y1), (x2, y2) = view.point(one), view.point(other)
        assert math.hypot(x2 - x1, y2 - y1) == pytest.approx(metres * view.mm_per_m, rel=1e-5)
        drawn = math.degrees(math.atan2(x2 - x1, y1 - y2))
        # meridians converge: away from the middle one, grid north is off by lon difference x sin(lat)
        off = abs((drawn - azimuth + 180.0) % 360.0 - 180.0)
        convergence = abs(((one[0] - middle[0] + 180.0) % 360.0 - 180.0) * math.sin(math.radians(one[1])))
        assert off <= convergence + 0.02
    assert view.shows(places[0])


def test_north_is_up_and_east_is_right():
    view = fit_map([(-101.25, 41.75), (-101.20, 41.80)], (), FRAME, least_share=1.0)
    west, east = view.point((-101.25, 41.75)), view.point((-101.20, 41.80))
    assert east[0] > west[0]
    assert east[1] < west[1]


def test_degrees_come_back():
    view = fit_map(scattered(5), (), FRAME, least_share=1.0)
    places = scattered(20, seed=3)
    for got, wanted in zip(view.places(view.at(places)), places, strict=True):
        assert tuple(got) == pytest.approx(wanted, abs=1e-9)


def test_a_far_boundary_is_not_taken_in_where_it_would_shrink_the_sites():
    sites = scattered(6, size_deg=0.05)
    near = [(-101.32, 41.68), (-101.18, 41.82)]
    alone = fit_map(sites, (), FRAME, least_share=0.5)
    assert fit_map(sites, [[(-99.0, 40.0)]], FRAME, least_share=0.5) == alone
    wider = fit_map(sites, [near], FRAME, least_share=0.5)
    assert 0.5 * alone.mm_per_m <= wider.mm_per_m < alone.mm_per_m
    assert all(map(wider.shows, near))


@given(st.floats(1e-6, 1e6))
def test_a_nice_length_is_1_2_or_5_times_a_power_of_ten_and_the_greatest(most):
    length = nice_length(most)
    lead = length / 10.0 ** math.floor(math.log10(length) + 1e-9)
    assert min(abs(lead - 1), abs(lead - 2), abs(lead - 5)) < 1e-6
    assert length <= most * (1 + 1e-9)
    assert length * 2.5 > most * (1 - 1e-9)


@pytest.mark.parametrize("at", [(-101.25, 41.75), (179.99, -17.0), (-179.95, 60.0), (0.0, 0.0)])
def test_the_graticule_is_where_its_figures_say(at):
    """A tick of a meridian is at its longitude, of a parallel at its latitude, even over the date line."""
    view = fit_map(scattered(8, at=at), (), FRAME, least_share=1.0)
    lines, (east_minutes, north_minutes) = graticule(view)
    assert len([line for line in lines if line.meridian]) >= 2
    assert len([line for line in lines if not line.meridian]) >= 2
    for line in lines:
        assert line.tick is not None
        (longitude, latitude) = view.places(view.at([view.origin]) * 0 + line.tick)[0]
        found, minutes = (longitude, east_minutes) if line.meridian else (latitude, north_minutes)
        assert abs((found - line.degrees + 180.0) % 360.0 - 180.0) < 2e-4
        assert (line.degrees * 60.0 / minutes) == pytest.approx(round(line.degrees * 60.0 / minutes))


# ---- tiles


@effort(max_examples=40, deadline=None)
@given(count=st.integers(1, 230), seed=st.integers(0, 10_000), most=st.integers(1, 60))
def test_tiles_hold_every_site_once_and_none_too_many(count, seed, most):
    sites = [
        MapSite(f"NH-{number}", None, place, Verdict.INSIDE)
        for number, place in enumerate(scattered(count, seed=seed))
    ]
    tiles = split_sites(sites, most)
    assert sorted(site.code for tile in tiles for site in tile) == sorted(site.code for site in sites)
    assert all(1 <= len(tile) <= most for tile in tiles)
    assert len(tiles) <= 2 * math.ceil(count / most)
    assert split_sites(sites[::-1], most) == tiles


def test_over_forty_sites_an_index_leads_to_maps_that_lead_to_the_sheets(maps_of):
    places = scattered(SITES_MOST + 1)
    sites = [lost(f"NH-{number}", place) for number, place in enumerate(places, start=1)]
    pages, book = maps_of(sites)
    labels = [page.label for page in pages]
    assert labels[:4] == ["Map", "Map index", "Map 1", "Map 2"]
    assert labels[4:] == ["Map NH", "Map NH index", "Map NH 1", "Map NH 2"]
    index, listed, *tiles = pages[:4]
    assert set(links(index)) == {"map 1", "map 2"}
    assert {"1", "2"} <= set(texts(index))
    assert not any(text.startswith("NH-") for text in texts(index))
    every = " ".join(texts(listed)).replace(",", " ").split()
    assert {site.code for site in sites} <= set(every)
    led = [set(links(page)) for page in tiles]
    assert set.union(*led) == {f"site {site.code}" for site in sites}
    with pikepdf.open(BytesIO(book.pdf)) as document:
        names = pikepdf.NameTree(document.Root.Names.Dests)
        reader = PdfReader(BytesIO(book.pdf))
        shown = {name: reader.page_labels[document.pages.index(names[name][0])] for name in names}
    assert shown["map 2"] == "Map 2"
    assert shown["map NH 1"] == "Map NH 1"
    assert shown["site NH-17"] == "NH-17"


def test_forty_sites_are_on_one_map(maps_of):
    sites = [lost(f"NH-{number}", place) for number, place in enumerate(scattered(SITES_MOST), start=1)]
    pages, _ = maps_of(sites)
    assert [page.label for page in pages] == ["Map", "Map NH"]
    assert set(links(pages[0])) == {f"site {site.code}" for site in sites}


def test_sites_on_one_spot_still_all_have_a_label(maps_of):
    sites = [lost(f"NH-{number}", (-101.25, 41.75)) for number in range(1, 46)]
    pages, _ = maps_of(sites)
    county = [page for page in pages if not page.label.startswith("Map NH")]
    found = {text for page in county[2:] for text in texts(page) if text.startswith("NH-")}
    assert found == {site.code for site in sites}


# ---- what a map says


def test_verdicts_are_told_by_shape_and_by_word(bindery, sheet_of):
    """Hand-made plans: OT-2 outside, OT-10 inside; PB-2 has no sheet and a place of its own."""
    near = (-101.2, 41.7)
    sites = [sheet_of("OT-2", outside=True), sheet_of("OT-10"), lost("OT-3", near, reach="OT")]
    page = next(page for page in bindery(sites).pages if page.label == "Map OT")
    said = texts(page)
    assert said[said.index("OT-2") + 2] == "OUTSIDE"
    assert said[said.index("OT-3") + 2] == "no sheet"
    assert "OUTSIDE" not in said[said.index("OT-10") :][:3]
    for meaning in (
        "inside plan at its planning level",
        "OUTSIDE PLAN at its planning level",
        "no sheet in this edition",
    ):
        assert meaning in said
    discs = [item for item in page.page.items if isinstance(item, Circle)]
    assert {disc.fill.is_grey for disc in discs} == {True}  # black and white only
    assert "safe" not in " ".join(said).lower()


def test_each_sheet_leads_back_to_the_map_of_its_reach(small_book):
    with pikepdf.open(BytesIO(small_book.pdf)) as document:
        names = pikepdf.NameTree(document.Root.Names.Dests)
        labels = PdfReader(BytesIO(small_book.pdf)).page_labels
        sheet = document.pages[labels.index("OT-10")]
        targets = [str(note.A.D) for note in sheet.Annots if note.A.S == "/GoTo"]
        assert targets == ["map OT"]
        assert document.pages.index(names["map OT"][0]) == labels.index("Map OT")


def test_sites_of_other_reaches_are_shown_and_lead_to_their_sheets(maps_of):
    reaches = (REACH, Reach("PB", "Pebble", "Pebble Creek"))
    own = [lost(f"NH-{number}", place) for number, place in enumerate(scattered(4), start=1)]
    pages, _ = maps_of([*own, lost("PB-1", (-101.25, 41.75), reach="PB")], reaches=reaches)
    reach = next(page for page in pages if page.label == "Map NH")
    assert "PB-1" in texts(reach)
    assert "site of another map" in texts(reach)
    assert "site PB-1" in links(reach)


def test_a_site_of_unknown_place_is_told_under_the_map(maps_of):
    pages, _ = maps_of([lost("NH-1", (-101.25, 41.75)), NotPrinted("NH-2", None, "NH", ())])
    assert "Without a known place, and not on this map: NH-2." in texts(pages[0])


def test_without_any_place_there_is_no_map(maps_of):
    pages, _ = maps_of([NotPrinted("NH-2", None, "NH", ())])
    assert pages == []


def test_a_layer_that_could_not_be_read_is_told_under_the_map(maps_of):
    roads = Background("county roads", "roads.geojson", "road")
    pages, _ = maps_of([lost("NH-1", (-101.25, 41.75))], backgrounds=(roads,))
    assert "Not drawn: county roads. The layer could not be read." in texts(pages[0])


@pytest.mark.parametrize("units", ["us", "si"])
def test_scale_bars_are_as_long_as_they_say(maps_of, units):
    """Each bar against the geodesic between the two sites, whose marks are on the map; own units first."""
    one, other = (-101.30, 41.70), (-101.20, 41.80)
    pages, _ = maps_of([lost("NH-1", one), lost("NH-2", other)], units=units)
    items = pages[0].page.items
    frame = next(item.box for item in items if isinstance(item, Rect) and item.box.width_mm > 150)
    signs = [
        [sum(value) / 4 for value in zip(*item.points, strict=True)]
        for item in items
        if isinstance(item, Polyline) and item.closed and len(item.points) == 4
        and item.points[0][1] < frame.bottom_mm
    ]  # fmt: skip
    (x1, y1), (x2, y2) = signs
    mm_per_m = math.hypot(x2 - x1, y2 - y1) / GEOD.inv(*one, *other)[2]
    found = [text for text in texts(pages[0]) if text.endswith((" mi", " km"))]
    assert [text.split()[1] for text in found] == (["mi", "km"] if units == "us" else ["km", "mi"])
    for text in found:
        count, unit = text.split()
        label = next(item for item in items if isinstance(item, Text) and item.text == text)
        fields = [
            item.box
            for item in items
            if isinstance(item, Rect)
            and item.box.height_mm == 1.2
            and abs(item.box.top_mm - label.y_mm) < 2.5
        ]
        length_mm = max(field.right_mm for field in fields) - min(field.left_mm for field in fields)
        metres = float(count) * {"mi": 1609.344, "km": 1000.0}[unit]
        assert length_mm / mm_per_m == pytest.approx(metres, rel=1e-4)


# ---- layers


def test_lines_are_cut_to_the_frame_and_shared_borders_are_drawn_once(maps_of):
    ring = ((-102.0, 41.0), (-101.25, 41.0), (-101.25, 42.5), (-102.0, 42.5), (-102.0, 41.0))
    east = tuple((-202.5 - lon, lat) for lon, lat in ring)
    layer = Layer("counties", "boundary", (LayerFeature((ring,), True), LayerFeature((east,), True)))
    pages, _ = maps_of([lost("NH-1", (-101.26, 41.75)), lost("NH-2", (-101.2, 41.7))], layers=(layer,))
    dashed = [
        item
        for item in pages[0].page.items
        if isinstance(item, Polyline) and item.stroke is not None and len(item.stroke.dash_mm) == 4
    ]
    border, _key = dashed
    frame = next(
        item.box for item in pages[0].page.items if isinstance(item, Rect) and item.box.width_mm > 150
    )
    inside = box(frame.left_mm, frame.top_mm, frame.right_mm, frame.bottom_mm).buffer(0.01)
    line = LineString(border.points)
    assert inside.contains(line)
    assert line.length == pytest.approx(frame.height_mm, abs=0.5)
    assert "counties" in texts(pages[0])


def test_a_layer_that_is_elsewhere_is_not_in_the_key(maps_of):
    layer = Layer("far roads", "road", (LayerFeature((((10.0, 50.0), (11.0, 50.0)),)),))
    pages, _ = maps_of([lost("NH-1", (-101.25, 41.75))], layers=(layer,))
    assert "far roads" not in texts(pages[0])


def test_the_larger_river_is_the_heavier_line_and_is_named(maps_of):
    large = LayerFeature((((-101.4, 41.72), (-101.1, 41.72)),), name="Otter River", order=5.0)
    small = LayerFeature((((-101.4, 41.78), (-101.1, 41.78)),), name="Mink Run", order=1.0)
    layer = Layer("rivers", "river", (small, large))
    pages, _ = maps_of([lost("NH-1", (-101.3, 41.7)), lost("NH-2", (-101.2, 41.8))], layers=(layer,))
    level = [
        item
        for item in pages[0].page.items
        if isinstance(item, Polyline) and item.stroke is not None and item.stroke.weight_mm in (0.28, 0.8)
    ]
    south, north = sorted(level[:2], key=lambda item: -item.points[0][1])
    assert south.stroke.weight_mm > north.stroke.weight_mm
    assert {"Otter River", "Mink Run"} <= set(texts(pages[0]))


@pytest.mark.parametrize(
    "places", [[(0.0, 89.9), (180.0, 89.99)], [(179.9, 10.0), (-179.9, 10.1)], [(-101.25, 41.75)]]
)
def test_hostile_layers_and_places_still_give_a_page_that_keeps_the_rules(maps_of, places):
    """A layer round the globe, a line without length, a ring across itself; a pole and the date line."""
    world = ((-180.0, -90.0), (180.0, -90.0), (180.0, 90.0), (-180.0, 90.0), (-180.0, -90.0))
    bow = ((-102.0, 41.0), (-101.0, 42.0), (-101.0, 41.0), (-102.0, 42.0), (-102.0, 41.0))
    wild = tuple(((number * 37) % 360 - 180.0, (number * 23) % 180 - 90.0) for number in range(200))
    dot = ((-101.25, 41.75), (-101.25, 41.75))
    layers = (
        Layer("world", "boundary", (LayerFeature((world, bow), True, "World"),)),
        Layer("wild", "river", (LayerFeature((wild, dot), name="Wild"), LayerFeature((dot,), name="Dot"))),
        Layer("other", "marsh", (LayerFeature((dot, wild)),)),
    )
    sites = [lost(f"NH-{n}", place, name="Ford 河 " + "w" * 50) for n, place in enumerate(places, start=1)]
    pages, _ = maps_of(sites, layers=layers)
    assert [page.label for page in pages] == ["Map", "Map NH"]


def label_boxes(page):
    """White grounds of labels: one under each."""
    return [
        item.box
        for item in page.page.items
        if isinstance(item, Rect) and item.stroke is None and item.fill is not None and item.fill.is_grey
        and item.box.height_mm < 4.5 and item.fill.red == 1.0
    ]  # fmt: skip


@pytest.fixture(scope="module")
def real_layers():
    if not SHARED.is_dir():
        pytest.skip("the shared real data is not here")
    counties = Background("counties", "us_counties_around_new_hope.geojson", "boundary")
    rivers = Background("rivers", "nhdplus_new_hope_flowlines.geojson", "river")
    return read_backgrounds(SHARED, [counties, rivers]).layers


@pytest.mark.parametrize("count", [1, 12, 60])
def test_real_rivers_and_counties(maps_of, real_layers, count):
    """746 lines: small, no page fault (bind checks each page), no label upon another, same bytes."""
    rng = random.Random(count)  # noqa: S311 - repeatable places, nothing secret
    large = [feature for feature in real_layers[1].features if (feature.order or 0) >= 3]
    places = [part[len(part) // 2] for part in (rng.choice(large).parts[0] for _ in range(count))]
    sites = [lost(f"NH-{number}", place) for number, place in enumerate(places, start=1)]
    pages, book = maps_of(sites, layers=real_layers)
    for page in pages:
        assert len(page.pdf) < 300_000
        boxes = label_boxes(page)
        for one, other in combinations(boxes, 2):
            assert (
                one.right_mm <= other.left_mm
                or other.right_mm <= one.left_mm
                or one.bottom_mm <= other.top_mm
                or other.bottom_mm <= one.top_mm
            )
    assert maps_of(sites[::-1], layers=real_layers)[1].pdf == book.pdf
    assert len(pypdfium2.PdfDocument(book.pdf)) == len(PdfReader(BytesIO(book.pdf)).pages)


def test_leaders_cross_no_label_of_another(maps_of, real_layers):
    """Leaders are the thin lines that end beside a label."""
    large = [feature for feature in real_layers[1].features if (feature.order or 0) >= 4]
    sites = [lost(f"NH-{n}", feature.parts[0][0]) for n, feature in enumerate(large[:30], start=1)]
    pages, _ = maps_of(sites, layers=real_layers)
    page = pages[0]
    leaders = [item for item in page.page.items if isinstance(item, Line) and item.stroke.weight_mm == 0.15]
    boxes = [box(one.left_mm, one.top_mm, one.right_mm, one.bottom_mm) for one in label_boxes(page)]
    for leader in leaders:
        line = LineString([(leader.x1_mm, leader.y1_mm), (leader.x2_mm, leader.y2_mm)])
        assert not any(line.intersects(one) for one in boxes)
