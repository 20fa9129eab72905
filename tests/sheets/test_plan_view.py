from dataclasses import replace
from math import hypot
from random import Random

import pytest
import shapely

from atlas.paper import (
    Box,
    Line,
    Page,
    Polyline,
    PrintRules,
    Text,
    bounds,
    check_boxes,
    shipped_fonts,
    text_corners,
)
from atlas.records import DangerKind, NearBank, PostKind
from atlas.sheets import layout
from atlas.sheets.desk import desk_for
from atlas.sheets.plan_corners import choose_corners, north_deg, scale_field
from atlas.sheets.plan_rig import boat_bow, rig_in_plan, rig_points, station
from atlas.sheets.plan_things import DANGER_MM, beyond_text, danger_name, danger_place, downstream_of
from atlas.sheets.plan_view import lay_plan, plan_scene, plan_view
from atlas.sheets.plan_water import flow_direction, river_on_page
from atlas.sheets.view import View, fit_view
from atlas.units import UnitSystem

FRAME = Box(left_mm=20.0, top_mm=60.0, width_mm=107.0, height_mm=70.0)


def view_of(frame, *, mm_per_m=2.0):
    return View(
        frame=FRAME,
        mm_per_m=mm_per_m,
        across=1 if frame.near_bank is NearBank.RIGHT else -1,
        centre_m=(20, 5),
    )


@pytest.mark.parametrize("bank", NearBank)
def test_downstream_is_down_the_page_and_river_right_at_the_left(hand_made, bank):
    frame = hand_made.make_frame(near_bank=bank)
    view = fit_view(frame, [(0.0, 0.0), (42.0, 20.0)], [], FRAME, margin_mm=5, least_share=1)
    near, far, down = view.at((0.0, 0.0)), view.at((42.0, 0.0)), view.at((0.0, 10.0))
    # facing down the page, one's right hand points to the left of it
    assert (near[0] < far[0]) is (bank is NearBank.RIGHT)
    assert down[1] > near[1]
    assert down[0] == pytest.approx(near[0])


@pytest.mark.parametrize("bank", NearBank)
def test_one_scale_holds_in_every_direction(hand_made, bank):
    view = view_of(hand_made.make_frame(near_bank=bank), mm_per_m=1.7)
    start = view.at((3.0, 4.0))
    for dx, dy in ((1.0, 0.0), (0.0, 1.0), (3.0, 4.0), (-2.0, 1.0)):
        end = view.at((3.0 + dx, 4.0 + dy))
        assert hypot(end[0] - start[0], end[1] - start[1]) == pytest.approx(1.7 * hypot(dx, dy))


@pytest.mark.parametrize(
    ("downstream_deg", "north"), [(180.0, 0.0), (90.0, 90.0), (0.0, 180.0), (270.0, 270.0)]
)
def test_north_turns_with_the_river(downstream_deg, north):
    # a river that runs south is drawn with north up; one that runs east has north to the right
    assert north_deg(downstream_deg) == pytest.approx(north)


def test_view_holds_the_rig_with_its_margin(plans):
    frame, rig = plans["plain"].frame, plans["plain"].chosen
    points = rig_points(frame, rig)
    view = fit_view(frame, points, [], FRAME, margin_mm=7.0, least_share=1.0)
    places = [view.at(point) for point in points]
    room = FRAME.inset(7.0)
    assert min(x for x, _ in places) >= room.left_mm - 1e-9
    assert max(x for x, _ in places) <= room.right_mm + 1e-9
    assert min(y for _, y in places) >= room.top_mm - 1e-9
    assert max(y for _, y in places) <= room.bottom_mm + 1e-9
    # and is as large as it goes: one of both directions is filled
    across_mm = max(x for x, _ in places) - min(x for x, _ in places)
    down_mm = max(y for _, y in places) - min(y for _, y in places)
    assert max(across_mm / room.width_mm, down_mm / room.height_mm) == pytest.approx(1.0)


def test_surroundings_are_taken_in_while_they_cost_little(hand_made):
    frame = hand_made.make_frame()
    core = [(0.0, 0.0), (40.0, 20.0)]
    alone = fit_view(frame, core, [], FRAME, margin_mm=5, least_share=0.75)
    near = fit_view(frame, core, [(46.0, 24.0)], FRAME, margin_mm=5, least_share=0.75)
    far = fit_view(frame, core, [(20.0, 240.0)], FRAME, margin_mm=5, least_share=0.75)
    assert near.shows((46.0, 24.0))
    assert 0.75 * alone.mm_per_m <= near.mm_per_m < alone.mm_per_m
    assert not far.shows((20.0, 240.0))
    assert far.mm_per_m == alone.mm_per_m


@pytest.mark.parametrize("system", UnitSystem)
@pytest.mark.parametrize("mm_per_m", [0.5, 1.0, 2.2, 4.0, 9.0])
def test_scale_bar_is_as_long_as_it_says(desk_of, plans, system, mm_per_m):
    plan = plans["plain" if system is UnitSystem.US else "si"]
    view = view_of(plan.frame, mm_per_m=mm_per_m)
    corners = choose_corners(desk_of(plan), view, [shapely.Point(0, 0)])
    assert corners.field_mm == pytest.approx(scale_field(system, mm_per_m) * mm_per_m)
    assert 4 * corners.field_mm == pytest.approx(corners.length_m * mm_per_m)
    assert 4 * corners.field_mm <= 34.0
    unit_m = 0.3048 if system is UnitSystem.US else 1.0
    # four fields of a round number of feet or metres, which printing does not have to round
    assert (corners.length_m / unit_m) == pytest.approx(round(corners.length_m / unit_m, 1))


def test_arrow_and_bar_keep_out_of_each_other_and_of_what_is_there(desk_of, plans):
    view = view_of(plans["plain"].frame)
    inner = FRAME.inset(1.5)
    busy = shapely.box(inner.left_mm, inner.top_mm, inner.left_mm + 40, inner.bottom_mm)
    corners = choose_corners(desk_of(plans["plain"]), view, [busy])
    for panel in corners.panels:
        assert not panel.intersects(busy)
        assert FRAME.left_mm < panel.bounds[0] < panel.bounds[2] < FRAME.right_mm
    assert not corners.panels[0].intersects(corners.panels[1])


@pytest.mark.parametrize("bank", NearBank)
@pytest.mark.parametrize("skew_deg", [-25.0, 0.0, 25.0])
def test_flow_leans_as_surveyed(hand_made, bank, skew_deg):
    frame = hand_made.make_frame(near_bank=bank, skew_deg=skew_deg)
    x, y = flow_direction(frame)
    assert y > 0
    assert (x > 0) is (skew_deg > 0) or skew_deg == 0
    dx, dy = view_of(frame).turned((x, y))
    assert dy == y
    assert dx == (x if bank is NearBank.RIGHT else -x)


def test_water_lies_between_both_edges(hand_made):
    frame = hand_made.make_frame(skew_deg=0.0)
    view = view_of(frame)
    river = river_on_page(frame, view)
    for x in (
        frame.near_edge_x_m + 1.5,
        (frame.near_edge_x_m + frame.far_edge_x_m) / 2,
        frame.far_edge_x_m - 1.5,
    ):
        assert river.water.contains(shapely.Point(view.at((x, 0.0))))
    for x in (0.0, frame.near_edge_x_m - 1.5, frame.far_edge_x_m + 1.5, frame.span_m):
        assert not river.water.contains(shapely.Point(view.at((x, 0.0))))


def test_edges_drawn_up_the_river_give_the_same_water(hand_made):
    frame = hand_made.make_frame()
    turned = replace(frame, edges=tuple((bank, points[::-1]) for bank, points in frame.edges))
    first, second = (river_on_page(site, view_of(frame)).water for site in (frame, turned))
    assert first.symmetric_difference(second).area == pytest.approx(0.0, abs=1e-9)


def test_edges_that_were_not_drawn_are_straight_along_the_flow_and_dashed(hand_made):
    frame = replace(hand_made.make_frame(skew_deg=0.0), edges=(), edges_drawn=False)
    view = view_of(frame)
    river = river_on_page(frame, view)
    assert river.surveyed == ()
    width_mm = (frame.far_edge_x_m - frame.near_edge_x_m) * view.mm_per_m
    assert river.water.area == pytest.approx(width_mm * FRAME.height_mm)
    assert sum(line.length for line in river.guessed) == pytest.approx(2 * FRAME.height_mm)


def test_lines_run_where_the_rig_has_them(plans):
    plan = plans["plain"]
    rig = rig_in_plan(plan.frame, plan.chosen)
    paths = {name: path for name, _, path in rig.lines}
    assert paths["empty"] == ((0.0, 0.0), (42.0, 0.0))
    assert rig.carriage == max(paths["track"], key=lambda point: point[1])
    assert paths["ferry-near"] == ((-1.4, -8.0), rig.carriage)
    assert paths["ferry-far"] == ((43.0, -8.0), rig.carriage)
    assert paths["up-down"] == ((1.2, 8.6), rig.carriage, rig.boat)
    strokes = {name: stroke for name, stroke, _ in rig.lines}
    assert len(set(strokes.values())) == 5


def test_station_is_the_loaded_one_that_is_not_out(plans):
    rig = plans["plain"].chosen
    first = station(rig, "near", "ferry")
    spare = replace(first, tag="F9", load_n=None)
    assert station(replace(rig, anchors=(spare, *rig.anchors)), "near", "ferry") == first
    out = tuple(replace(anchor, do_not_use=True) for anchor in rig.anchors)
    assert station(replace(rig, anchors=out), "near", "ferry") is None


def test_boat_lies_down_the_flow_and_not_past_the_reach_down(hand_made):
    frame = hand_made.make_frame(reach_down_m=18.0, skew_deg=15.0)
    along = flow_direction(frame)
    bow = boat_bow(frame, (18.9, 4.4), along)
    assert (bow[0] - 18.9) / (bow[1] - 4.4) == pytest.approx(along[0] / along[1])
    assert bow[1] + 4.0 * along[1] == pytest.approx(18.0)


def test_dangers_beyond_the_view_are_told_nearest_first(desk_of, plans, hand_made):
    plan = plans["plain"]
    view = view_of(plan.frame)
    far = replace(
        plan.frame.dangers[1],
        kind=DangerKind.STRAINER,
        shape=hand_made.PlacedShape("point", (((20.0, -80.0),),)),
    )
    desk = desk_of(replace(plan, frame=replace(plan.frame, dangers=(far, plan.frame.dangers[1]))))
    assert beyond_text(desk, view).replace("\N{NO-BREAK SPACE}", " ") == (
        "Beyond this view: Bridge pier 209 ft downstream · Strainer 262 ft upstream"
    )
    nothing = desk_of(replace(plan, frame=replace(plan.frame, dangers=())))
    assert beyond_text(nothing, view) == ""


def test_a_danger_at_the_edge_of_the_view_keeps_its_sign_inside(plans, hand_made):
    """A sign that hung out over the frame covered the line under it."""
    plan = plans["plain"]
    view = view_of(plan.frame)
    lowest_m = view.centre_m[1] + (view.frame.bottom_mm - view.frame.centre[1]) / view.mm_per_m
    edge = replace(
        plan.frame.dangers[1],
        shape=hand_made.PlacedShape("line", (((10.0, lowest_m - 0.1), (10.0, lowest_m + 30.0)),)),
    )
    x_mm, y_mm = danger_place(view, edge)
    assert view.frame.bottom_mm - DANGER_MM / 2 - 0.5 < y_mm < view.frame.bottom_mm - DANGER_MM / 2
    assert x_mm == pytest.approx(view.at((10.0, 0.0))[0])


@pytest.mark.parametrize(
    ("kind", "part", "begins_m"),
    [
        ("line", ((50.0, 44.0), (55.0, 78.0), (62.0, 111.0)), 44.0),
        ("polygon", ((50.0, -60.0), (60.0, -44.0), (40.0, -90.0), (50.0, -60.0)), -44.0),
        ("line", ((80.0, -5.0), (80.0, 30.0)), 0.0),
        ("point", ((20.0, 80.0),), 80.0),
    ],
)
def test_a_danger_is_as_far_as_where_it_begins(hand_made, kind, part, begins_m):
    """Its middle is farther: a fence from 44 to 111 m would be told as 78 m away."""
    assert downstream_of(hand_made.PlacedShape(kind, (part,))) == begins_m


def test_danger_of_no_known_kind_is_called_as_the_survey_does(desk_of, plans):
    other = replace(plans["plain"].frame.dangers[0], kind=DangerKind.OTHER, kind_text="mill_wheel")
    assert danger_name(desk_of(plans["plain"]), other) == "mill wheel"


def _plan_texts(page):
    return [item for item in page.items if isinstance(item, Text) and item.block == "plan"]


def test_every_line_has_its_tag_and_needed_length(pages):
    texts = [text.text for text in _plan_texts(pages["plain"])]
    for tag, needed in (("T", "202 ft"), ("NF", "184 ft"), ("FF", "210 ft"), ("UD", "296 ft")):
        assert texts[texts.index(tag) + 1] == needed


def test_every_anchor_and_visible_danger_and_post_is_named(pages):
    texts = [text.text for text in _plan_texts(pages["plain"])]
    for name in (
        "T1",
        "T2",
        "F1",
        "S1",
        "B1",
        "X1",
        "Strainer",
        "Staging",
        "Launch",
        "Work area: boat held in 94 %",
        "FLOW",
        "N",
    ):
        assert name in texts
    assert " DO NOT USE" in texts
    assert "Take-out" not in texts


@pytest.mark.parametrize("name", ["plain", "crowded", "near bank left", "creek", "river"])
def test_labels_stand_clear_of_lines_and_of_each_other(pages, name):
    fonts = shipped_fonts()
    texts = [shapely.Polygon(text_corners(text, fonts)) for text in _plan_texts(pages[name])]
    ink = []
    for item in pages[name].items:
        if item.block != "plan" or not isinstance(item, Line | Polyline) or not item.clear_of_text:
            continue
        points = (
            ((item.x1_mm, item.y1_mm), (item.x2_mm, item.y2_mm)) if isinstance(item, Line) else item.points
        )
        ink.append(shapely.LineString(points).buffer(item.stroke.weight_mm / 2))
    tree = shapely.STRtree(texts)
    assert tree.query(ink, predicate="intersects").size == 0
    pairs = tree.query(texts, predicate="overlaps")
    areas = [texts[first].intersection(texts[second]).area for first, second in pairs.T]
    assert max(areas, default=0.0) < 0.01


def _random_plan(hand_made, words, seed):
    """A place thrown together: any span, skew, bank, with dangers and posts anywhere about it."""
    dice = Random(seed)  # noqa: S311 -- places for a test, not secrets
    span_m = dice.uniform(12, 120)
    reach_m = dice.uniform(4, min(40, span_m))
    frame = hand_made.make_frame(
        span_m=span_m,
        reach_down_m=reach_m,
        skew_deg=dice.uniform(-35, 35),
        near_bank=dice.choice(list(NearBank)),
    )

    def place():
        return dice.uniform(-0.1 * span_m, 1.1 * span_m), dice.uniform(-12, reach_m + 25)

    dangers = []
    for _ in range(dice.randint(0, 6)):
        x, y = place()
        kind = dice.choice([kind for kind in DangerKind if kind is not DangerKind.OTHER])
        shape = dice.choice(
            [
                hand_made.PlacedShape("point", (((x, y),),)),
                hand_made.PlacedShape(
                    "line", (((x, y), (x + dice.uniform(-8, 8), y + dice.uniform(-8, 8))),)
                ),
                hand_made.PlacedShape("polygon", (((x, y), (x + 5, y + 1), (x + 4, y + 6), (x, y)),)),
            ]
        )
        dangers.append(hand_made.PlacedDanger(kind, kind.value, shape, None))
    posts = tuple(
        hand_made.PlacedPost(
            dice.choice(list(PostKind)),
            (
                dice.uniform(-20, span_m + 20),
                dice.choice([dice.uniform(-10, reach_m), dice.uniform(-200, 300)]),
            ),
            None,
        )
        for _ in range(dice.randint(0, 9))
    )
    frame = replace(frame, dangers=tuple(dangers), posts=posts)
    return hand_made.make_plan(words, frame=frame, units=dice.choice(["us", "si"]))


@pytest.mark.parametrize("seed", range(24))
def test_random_places_keep_the_rules_of_print(hand_made, templates, words, seed):
    template = templates["letter" if seed % 2 else "a4"]
    page = layout(_random_plan(hand_made, words, seed), template, words)
    assert check_boxes(page, shipped_fonts(), PrintRules(least_size_pt=7.5)) == ()


@pytest.mark.parametrize("block", range(10))
def test_labels_of_500_random_places_stand_clear(hand_made, letter, words, block):
    """The plan alone: every label on it clear of lines and of each other, by the check of print."""
    fonts = shipped_fonts()
    led = 0
    for seed in range(1000 + 50 * block, 1050 + 50 * block):
        desk = desk_for(_random_plan(hand_made, words, seed), letter, words)
        items, view = lay_plan(desk)
        frame = view.frame
        page = Page(
            width_mm=letter.page.width_mm, height_mm=letter.page.height_mm,
            printable=frame.inset(-12.0), items=tuple(items), title=str(seed), lang="en",
        )  # fmt: skip
        assert check_boxes(page, fonts, PrintRules(least_size_pt=7.5)) == (), seed
        leader = desk.strokes["leader"]
        led += any(isinstance(item, Line) and item.stroke == leader for item in items)
    assert led > 0, "leaders where labels must move away"


def test_plan_and_section_share_their_scale_across(pages, letter):
    def ties(block):
        items = pages["plain"].items
        lines = [item for item in items if isinstance(item, Polyline) and item.block == block and item.stroke]
        track = next(item for item in lines if item.stroke.weight_mm == letter.stroke.track_loaded.weight_mm)
        return track.points[0][0], track.points[-1][0]

    assert ties("plan") == pytest.approx(ties("section"))


def test_everything_drawn_lies_in_the_frame(pages, letter):
    for name in ("plain", "crowded", "creek", "river"):
        for block in ("plan", "section"):
            rule = getattr(letter.block, block)
            left_mm, top_mm = letter.content_left_mm + rule.left_mm, letter.page.edge_mm + rule.top_mm
            for item in pages[name].items:
                if item.block != block:
                    continue
                box = bounds(item, shipped_fonts())
                assert box.left_mm > left_mm - 0.3
                assert box.right_mm < left_mm + rule.width_mm + 0.3
                assert box.bottom_mm < top_mm + rule.height_mm + 0.3


def test_scene_keeps_labels_off_what_it_draws(desk_of, plans):
    desk = desk_of(plans["plain"])
    scene = plan_scene(desk, plan_view(desk, FRAME))
    assert scene.arrows
    busy = shapely.union_all(scene.ink)
    for arrow in scene.arrows:
        assert scene.whole_river.water.contains(arrow)
        assert arrow.distance(busy) > 2.0


def test_solid_and_dashed_tell_loaded_from_empty(letter):
    strokes = letter.stroke
    assert not strokes.track_loaded.dash_mm
    assert strokes.track_empty.dash_mm
    assert strokes.track_loaded.weight_mm > 2 * strokes.track_empty.weight_mm
