"""What each block says, from a plan whose figures are known, worked out by hand beside the line."""

from dataclasses import replace
from datetime import date

import pytest

from atlas.paper import Rect, Symbol, Text
from atlas.plan.results import LimitUsed
from atlas.plan.rig_results import Take
from atlas.records import DangerKind, LowHeadDam, PostKind
from atlas.sheets import layout
from atlas.sheets.access import access_rows, bank_places
from atlas.sheets.anchors import anchor_cells, anchor_symbol, kind_text, out_texts
from atlas.sheets.cautions import kept_cautions
from atlas.sheets.contingencies import CONTINGENCIES, contingency
from atlas.sheets.dropping import drop_order, drop_rank
from atlas.sheets.foot import limits_text, survey_text
from atlas.sheets.gear import crew_text, gear_cells, kept_gear
from atlas.sheets.head import first_due_line, meta_line
from atlas.sheets.levels import level_notes, level_ranks, level_row, stage_text
from atlas.sheets.lines import line_row
from atlas.sheets.posts import bank_of, grid_square, ordered_posts, post_row
from atlas.sheets.track import track_rows
from atlas.sheets.who_comes import who_comes_text
from atlas.units import Shown

EN_DASH, NBSP, PRIME = "\N{EN DASH}", "\N{NO-BREAK SPACE}", "\u2032"


def rows_of(desk):
    return track_rows(desk, desk.plan.track_line)


@pytest.fixture
def desk(desk_of, plans):
    return desk_of(plans["plain"])


@pytest.fixture
def with_access(hand_made, words, desk_of):
    return lambda **values: desk_of(hand_made.make_plan(words, access=hand_made.make_access(**values)))


@pytest.fixture
def with_rig(plans, desk_of):
    def change(**values):
        plan = plans["plain"]
        return desk_of(replace(plan, rigs=(replace(plan.chosen, **values),)))

    return change


def test_head(desk):
    assert meta_line(desk) == f"Otter Run{NBSP}· Upper Otter"
    assert first_due_line(desk) == f"First due{NBSP}· 12 min from its station"


def test_overdue_survey_is_said_in_the_head(plans, letter, words, texts_of):
    plan = replace(plans["plain"], overdue=True, valid_until=date(2026, 3, 1))
    assert f"SURVEY{NBSP}OVERDUE{NBSP}since{NBSP}2026-03-01" in texts_of(layout(plan, letter, words), "head")
    assert not any("OVERDUE" in text for text in texts_of(layout(plans["plain"], letter, words), "head"))


def test_agency_without_minutes_to_the_reach_is_just_first_due(plans, desk_of):
    (rig,) = plans["plain"].rigs
    first, *others = rig.cover.called
    called = (replace(first, minutes=None), *others)
    plan = replace(plans["plain"], rigs=(replace(rig, cover=replace(rig.cover, called=called)),))
    assert first_due_line(desk_of(plan)) == "First due"


def test_minutes_by_distance_are_marked_and_who_stands_in_is_said(desk_of, plans):
    (rig,) = plans["plain"].rigs
    called = (replace(rig.cover.called[0], estimated=True),)
    plan = replace(plans["plain"], rigs=(replace(rig, cover=replace(rig.cover, called=called)),))
    assert first_due_line(desk_of(plan)) == f"First due{NBSP}· about 12 min by distance"
    stands_in = replace(plans["plain"], agency=replace(plan.agency, code="RT9"))
    assert first_due_line(desk_of(stands_in)) == f"In place of QF4{NBSP}· 12 min"


def test_whom_to_call_what_they_add_and_when_it_is_complete(desk_of, plans):
    (rig,) = plans["plain"].rigs

    def told(*, short=False, **changes):
        cover = replace(rig.cover, **changes)
        plan = replace(plans["plain"], rigs=(replace(rig, cover=cover),))
        return who_comes_text(desk_of(plan), short=short)

    first, team = rig.cover.called
    assert told() == f"RT9 24{NBSP}min: NF, 1 gear, 4 people; complete 24{NBSP}min"
    assert told(short=True) == f"RT9 24{NBSP}min; complete 24{NBSP}min"
    assert told(first_due_complete=True, called=(first,)) == "QF4 is complete alone"
    unknown = replace(team, minutes=None)
    assert told(called=(first, unknown), minutes=None) == (
        "RT9 minutes unknown: NF, 1 gear, 4 people; complete minutes unknown"
    )
    lacking = {"called": (first, replace(team, estimated=True)), "complete": False, "people_short": 3}
    names = desk_of(plans["plain"]).words
    gear = "".join(f"{need.short} {names('gear.' + need.item)}, " for need in rig.gear if need.short)
    assert told(lines_short=("messenger",), **lacking) == (
        f"RT9 about 24{NBSP}min: NF, 1 gear, 4 people; SHORT with all: Messenger line, {gear}3 people"
    )


def test_places_of_both_banks(desk, plans):
    near, far = bank_places(desk)
    assert near.heading == "Near bank, river right"
    assert far.heading == "Far bank, river left"
    longitude, latitude = plans["plain"].access_place
    minutes = (latitude - 40) * 60
    assert near.lines[0] == f"40° {minutes:.3f}{PRIME} N"
    assert near.lines[1] == f"118° {(-longitude - 118) * 60:06.3f}{PRIME} W"
    assert near.lines[2].startswith("11T LF ")
    assert [len(part) for part in near.lines[2].split()] == [3, 2, 5, 5]


def test_minutes_under_ten_keep_their_zero(desk_of, plans):
    plan = replace(plans["plain"], access_place=(-118.901, 40.05))
    near, _ = bank_places(desk_of(plan))
    assert near.lines[0] == f"40° 03.000{PRIME} N"


def test_access_rows_leave_out_what_the_survey_does_not_say(with_access):
    desk = with_access(far_access=None, far_minutes=None, permission=None, medical=None, radio=None)
    # the agency's own radio stands in for the site's
    assert access_rows(desk) == (
        ("road", "Foundry Road 2.1 mi past the mill, gravel, turn at the kiln"),
        ("call", f"RT9 24{NBSP}min: NF, 1 gear, 4 people; complete 24{NBSP}min"),
        ("radio", "TAC 5"),
    )


def test_far_minutes_are_rounded_up_and_stay_with_their_unit(with_access):
    rows = dict(access_rows(with_access(far_access="Ridge Road", far_minutes=34.2)))
    assert rows["far_access"] == f"Ridge Road{NBSP}· 35{NBSP}min"


def test_dam_says_whom_to_ring_and_how_long_its_water_takes(with_access):
    dam = LowHeadDam(name="Upper Foundry Dam", phone="555 0134", travel_min=25.9)
    rows = dict(access_rows(with_access(dam=dam)))
    assert rows["dam"] == f"Upper Foundry Dam, 555 0134, its water takes 25{NBSP}min"
    rows = dict(access_rows(with_access(dam=LowHeadDam(name="Upper Foundry Dam"))))
    assert rows["dam"] == "Upper Foundry Dam"


def test_line_with_a_rope(desk, plans):
    row = line_row(desk, plans["plain"].chosen.lines[0])
    # 1.25 x 42 + 9 = 61.5 m up to whole feet; 61.0 m of rope down
    assert (row.tag, row.name, row.note) == ("T", "Track line", "Static A, 12.5 mm")
    assert (row.needed, row.take) == (Shown("202 ft", "61.5 m"), Shown("200 ft", "61.0 m"))


def test_line_of_two_ropes_and_of_another_agency(desk, plans):
    line = plans["plain"].chosen.lines[0]
    take = (Take("RV2", "Long", 61.0, 0.0125), Take("RV2", "Short", 30.5, 0.0125))
    row = line_row(desk, replace(line, take=take))
    assert row.take == Shown("200 + 100 ft", "61.0 + 30.5 m")
    assert row.note == "RV2 Long + Short, 12.5 mm"


def test_line_no_rope_reaches(desk, plans):
    row = line_row(desk, plans["outside"].chosen.lines[0])
    assert row.short
    # 7.4 m lacking, up
    assert (row.take, row.note) == (Shown("SHORT", "by 25 ft"), "no such rope anywhere")
    near = replace(plans["outside"].chosen.lines[0], nearest=Take("RV2", "Long", 50.0, 0.0125))
    assert line_row(desk, near).note == "nearest: RV2 Long"
    named = replace(near, nearest=Take("RV2", "Long rope of the upper station", 50.0, 0.0125))
    assert line_row(desk, named).note == "nearest of RV2"


def test_launch_line_says_how_it_is_thrown(desk, plans):
    row = line_row(desk, plans["plain"].chosen.lines[-1])
    assert (row.tag, row.take, row.note) == ("L", Shown(""), "slingshot")


def test_every_line_of_the_rig_has_a_tag_of_its_own(desk, plans):
    tags = [line_row(desk, line).tag for line in plans["plain"].chosen.lines]
    assert len(set(tags)) == len(tags) == 6


def test_track_line(desk):
    rows = [(row.label, row.figure, row.note) for row in rows_of(desk)]
    assert rows == [
        ("Over", "4 to 10 people", "on the track line if it drags"),
        ("Set", f"250{EN_DASH}560 lbf", f"1.1{EN_DASH}2.5 kN{NBSP}· seats 0.5 ft"),
        # seconds inward: 6.03 to 8.14
        ("Pulse", f"10 returns in 6.1{EN_DASH}8.1 s", "carriage off"),
        ("Haul", "3:1 by 3", f"sets 360{EN_DASH}450 lbf{NBSP}· takes 9 of 45 ft"),
        ("Lock off", "", "Rope grab, general use holds 2470 lbf"),
        ("Carriage", "11 ft to 117 ft", "from near tie, under load"),
        ("Boat", "14 ft", f"or more below the carriage{NBSP}· no slack"),
        ("Let go", "1 up-down, 2 track, 3 ferry lines", ""),
    ]


def test_slack_that_is_allowed_is_the_least_of_the_cases(with_rig, plans):
    answers = plans["plain"].chosen.track_answers
    some = replace(answers, slack=tuple(replace(one, slack_m=0.5) for one in answers.slack))
    rows = {row.label: row for row in rows_of(with_rig(track_answers=some))}
    # 0.5 m is 1.64 ft, down
    assert rows["Boat"].note.endswith("slack 1.6 ft at most")
    none = replace(answers, slack=tuple(replace(one, slack_m=None) for one in answers.slack))
    rows = {row.label: row for row in rows_of(with_rig(track_answers=none))}
    assert rows["Boat"].note == "or more below the carriage"


def test_pulse_without_a_time_that_tells_the_window(with_rig, plans):
    answers = plans["plain"].chosen.track_answers
    silent = replace(answers, pulse=replace(answers.pulse, from_s=None, to_s=None))
    rows = {row.label: row for row in rows_of(with_rig(track_answers=silent))}
    # then the dry rope's, 5.13 to 8.14
    assert rows["Pulse"].figure == f"10 returns in 5.2{EN_DASH}8.1 s"
    assert rows["Pulse"].note == "dry rope, carriage off"
    rows = {row.label: row for row in rows_of(with_rig(track_answers=replace(answers, pulse=None)))}
    assert "Pulse" not in rows


def test_track_line_tied_off_with_a_haul_that_does_not_fit(with_rig, plans):
    haul = plans["outside"].chosen.haul
    rows = {
        row.label: row
        for row in rows_of(with_rig(capture_limit_n=None, haul=haul, window=None, closest_boat_m=None))
    }
    assert rows["Lock off"].note == "Rope grab, general use, then tied off"
    assert rows["Haul"].note == f"sets 240{EN_DASH}300 lbf{NBSP}· outside the window"
    assert rows["Set"].figure == "no window"
    assert "Boat" not in rows


def test_level_row(desk, plans):
    stages = plans["plain"].chosen.stages
    # least clearance: boat held at 1.18 m, down to a tenth of a foot
    assert level_row(desk, stages[2]) == ("5.3 ft", "4.1 mph", "7.4", "5.6", "3.8 ft", "inside")
    assert level_row(desk, stages[3])[0] == "~ 6.3 ft"
    assert level_row(desk, stages[3])[-1] == "OUTSIDE"


def test_level_nobody_knows_is_the_rise_over_the_survey_day(desk, plans):
    stage = replace(plans["plain"].chosen.stages[2], stage_m=None, assumed=("stage_unknown",))
    assert stage_text(desk, stage) == "+2.1 ft*"


def test_marks_are_explained_where_they_stand(with_rig, plans):
    stages = plans["plain"].chosen.stages
    planned = (stages[2],)
    assert level_notes(with_rig(stages=planned)) == "framed: planned for"
    marked = (replace(stages[2], assumed=("stage_assumed",)), stages[3])
    assert level_notes(with_rig(stages=marked)).split(f"{NBSP}· ") == [
        "framed: planned for", "~ modelled, speed at its upper end", "* level assumed",
    ]  # fmt: skip


def test_low_levels_go_first_from_below_then_modelled_ones_from_above(plans):
    ranks = level_ranks(plans["plain"].chosen.stages, ("low", "modelled"))
    assert ranks[2] is None
    assert drop_order(ranks) == [0, 1, 4, 3]
    assert drop_order(level_ranks(plans["plain"].chosen.stages, ())) == []


def test_anchor_row(desk, plans):
    anchors = plans["plain"].chosen.anchors
    # 2.6 - 0.64 m of height down; 6400 N up; 25.6 kN up; 60 kN down, assumed
    assert anchor_cells(desk, anchors[0]) == (
        "T1", "near track", "tree", "6.4 ft", "1440 lbf", "5760 lbf", "~ 13480 lbf",
    )  # fmt: skip


def test_station_that_was_not_surveyed_is_to_be_found(desk, plans):
    station = plans["plain"].chosen.anchors[3]
    assert anchor_cells(desk, station)[2] == "on scene"
    assert anchor_cells(desk, station)[-1] == EN_DASH
    assert anchor_symbol(station) is Symbol.SQUARE_OPEN


@pytest.mark.parametrize(
    ("use", "symbol"),
    [
        ("track", Symbol.TRIANGLE_FILLED),
        ("ferry", Symbol.SQUARE_FILLED),
        ("up_down", Symbol.DIAMOND_FILLED),
    ],
)
def test_anchors_are_told_apart_by_shape(plans, use, symbol):
    anchor = replace(plans["plain"].chosen.anchors[0], uses=(use,))
    assert anchor_symbol(anchor) is symbol
    assert anchor_symbol(replace(anchor, do_not_use=True)) is Symbol.CROSSED_CIRCLE


def test_anchors_that_are_out_stand_in_a_row_by_reason(with_rig, plans):
    *used, never = plans["plain"].chosen.anchors
    other = replace(never, tag="X2", bank="far", kind="boulder")
    wet = replace(never, tag="X3", do_not_use=False, drowned=True)
    assert out_texts(with_rig(anchors=(*used, never, other, wet))) == (
        ("DO NOT USE", "X1 near tree, X2 far boulder"),
        ("under water", "X3 near tree"),
    )


def test_anchor_of_the_rig_under_water_keeps_its_row(with_rig, plans):
    first, *rest = plans["plain"].chosen.anchors
    desk = with_rig(anchors=(replace(first, drowned=True), *rest))
    assert anchor_cells(desk, desk.plan.chosen.anchors[0])[3] == "under"
    assert [reason for reason, _ in out_texts(desk)] == ["DO NOT USE"]


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_sheet_with_a_track_anchor_under_water_can_be_printed(with_rig, plans, templates, words, paper):
    """The word has to fit the column of heights: else the site has no sheet, and nobody is told why not."""
    first, *rest = plans["plain"].chosen.anchors
    wet = replace(first, drowned=True, height_planning_m=-0.4)
    page = layout(with_rig(anchors=(wet, *rest)).plan, templates[paper], words)
    assert "under" in [item.text for item in page.items if isinstance(item, Text)]


def test_kind_the_wording_does_not_know_is_printed_as_surveyed(desk, plans):
    anchor = replace(plans["plain"].chosen.anchors[0], kind="mill_wheel")
    assert kind_text(desk, anchor) == "mill wheel"


def test_posts_from_up_the_river_to_down(desk):
    rows = [post_row(desk, post) for post in ordered_posts(desk)]
    assert [(name, distance) for name, _, distance in rows] == [
        ("Upstream spotter", "492 ft up"),
        ("Staging", "20 ft up"),
        ("Launch", "7 ft down"),
        ("Helicopter", "131 ft down"),
        ("Downstream safety", "180 ft down"),
        ("Last take-out", "591 ft down"),
    ]
    assert all([len(part) for part in grid.split()] == [4, 4] for _, grid, _ in rows)
    assert grid_square(desk) == "11T LF"


def test_posts_of_one_kind_say_their_bank(plans, desk_of):
    plan = plans["plain"]
    near = next(post for post in plan.posts if post.kind is PostKind.DOWNSTREAM_SAFETY)
    desk = desk_of(replace(plan, posts=(near, replace(near, at=(54.0, 50.0)))))
    assert [post_row(desk, post)[0] for post in desk.plan.posts] == [
        "Downstream safety, near", "Downstream safety, far",
    ]  # fmt: skip


def straight(plans):
    """A river square to the track line."""
    return replace(plans["plain"], frame=replace(plans["plain"].frame, skew_deg=0.0))


@pytest.mark.parametrize(
    ("at", "bank"),
    [
        ((4.0, 50.0), "near"),
        ((40.0, 50.0), "far"),
        ((21.0, 50.0), None),  # in the water, if the river ran on: it bends, and nothing tells which way
        ((-40.0, 280.0), "near"),
    ],
)
def test_bank_of_a_post_by_the_middle_of_the_river(plans, desk_of, at, bank):
    plan = straight(plans)
    post = replace(plan.posts[0], at=at)
    assert bank_of(desk_of(plan), post) == bank


def test_bank_of_a_post_follows_the_flow(plans, desk_of):
    """With the flow 18 degrees toward the far bank, mid-river 60 m on is 19 m farther across."""
    plan = straight(plans)
    skewed = replace(plan, frame=replace(plan.frame, skew_deg=18.0))
    middle_m = (plan.frame.near_edge_x_m + plan.frame.far_edge_x_m) / 2
    post = replace(plan.posts[0], at=(middle_m - 1.0, 60.0))
    assert bank_of(desk_of(plan), post) is None
    assert bank_of(desk_of(skewed), post) == "near"


def test_gear_rows_are_rated_as_hardware_is_stamped(desk, plans):
    gear = {need.item: gear_cells(desk, need) for need in plans["plain"].chosen.gear}
    assert gear["carabiner"] == ("16", "Carabiners", "27.0 kN", "2 short")
    assert gear["knife"] == ("2", "Knives", "", "")


def test_crew_by_post(desk):
    assert crew_text(desk).startswith(f"1{NBSP}Command{NBSP}· 1{NBSP}Rigging lead{NBSP}· 3{NBSP}Haul, then")
    assert crew_text(desk).count("·") == 8


def test_what_is_short_drops_last(desk_of, plans):
    desk = desk_of(plans["crowded"])
    kept, dropped = kept_gear(desk, 12)
    assert len(kept) + dropped == 40
    assert len(kept) == 11
    assert {need.needed for need in desk.plan.chosen.gear if need.short} <= {need.needed for need in kept}


def test_contingencies_are_six_and_say_who_acts(desk):
    rows = [contingency(desk, name) for name in CONTINGENCIES]
    assert [row.what for row in rows] == [
        "Track line parts",
        "Far ferry line lost",
        "Up-down parts or let go",
        "Boat swamped, broached",
        "Debris coming",
        "Casualty swept down",
    ]
    assert all(row.who and row.first for row in rows)


def test_contingencies_have_their_figures(desk):
    """Loads up (4280 N is 962.2 lbf, 4620 N 1038.6), drift up, seconds down, last throw down."""
    told = {name: contingency(desk, name) for name in CONTINGENCIES}
    dot = f"{NBSP}· "
    assert told["track_parts"].figures == dot.join(("F1 970 lbf", "S1 1040 lbf", "drift 7 ft"))
    assert told["far_ferry_lost"].figures == "carriage runs to 18 ft from near tie"
    assert told["up_down_lost"].figures == dot.join(("Strainer in 14 s", "Bridge pier in 28 s"))
    # 19.4 m below the track line is 63.6 ft
    assert told["casualty_gone"].figures == "last throw 63 ft down: Strainer"
    assert not any(row.figures for name, row in told.items() if name in ("boat_swamped", "debris"))
    assert not any(row.grave for row in told.values())


def test_a_contingency_past_its_limit_is_grave(desk_of, plans):
    plan = plans["plain"]
    rig = plan.chosen
    parted = replace(rig.track_answers.track_parted, factor_needed=4.2)
    late = tuple(replace(danger, catch_in_time=False) for danger in rig.answers.dangers)
    worse = replace(
        rig,
        answers=replace(rig.answers, dangers=late),
        track_answers=replace(rig.track_answers, track_parted=parted),
    )
    desk = desk_of(replace(plan, rigs=(worse,)))
    # the weaker of both has 4.12
    assert contingency(desk, "track_parts").figures.endswith("FACTOR 4.1")
    assert contingency(desk, "casualty_gone").figures == "NO CATCH above Strainer"
    assert contingency(desk, "track_parts").grave
    assert contingency(desk, "casualty_gone").grave


def test_without_answers_the_contingencies_say_more_in_words(desk_of, plans):
    rig = replace(plans["plain"].chosen, answers=None, track_answers=None)
    desk = desk_of(replace(plans["plain"], rigs=(rig,)))
    rows = [contingency(desk, name) for name in CONTINGENCIES]
    assert not any(row.figures for row in rows)
    assert rows[0].first == "hold the carriage. Up-down brings the boat to the near bank."


def test_cautions_drop_as_the_template_says(desk):
    codes = [caution.code for caution in desk.plan.cautions]
    gone = [
        next(code for code in codes if code not in {caution.code for caution in kept_cautions(desk, count)})
        for count in (1,)
    ]
    assert gone == ["stations_on_scene"]
    left = [caution.code for caution in kept_cautions(desk, 99)]
    assert left == [caution.code for caution in desk.plan.cautions if caution.signal in ("DANGER", "WARNING")]


def test_cautions_left_out_are_counted_on_the_page(pages, plans, texts_of):
    told = " ".join(texts_of(pages["crowded"], "cautions")).replace(NBSP, " ")
    shown = sum(caution.text in told for caution in plans["crowded"].cautions)
    assert f"+{len(plans['crowded'].cautions) - shown} in the workings" in told
    assert all(caution.text in told for caution in plans["crowded"].cautions if caution.signal == "DANGER")


def test_signal_words_stand_in_their_order_each_once(pages, texts_of):
    words = [text for text in texts_of(pages["plain"], "cautions") if text.isupper()]
    assert words == ["DANGER", "WARNING", "CAUTION", "NOTICE"]
    bars = [item for item in pages["plain"].items if isinstance(item, Rect) and item.block == "cautions"]
    assert len({bar.fill for bar in bars}) == 4


def test_foot(desk):
    assert survey_text(desk) == (
        "Surveyed 2026-05-09 · valid until 2027-05-09 · void after a flood over action stage"
    )
    limits = limits_text(desk).replace(NBSP, " ")
    assert limits == (
        "Limits used: track factor 5.0 · line factor 7.0 · clearance 3.0 ft + v²/2g · anchors 4.0 to 1 ·"
        " track anchor 4500 lbf · rule of 18 · capture 2470 lbf"
    )


def test_overdue_survey_is_said(plans, desk_of):
    plan = replace(plans["plain"], overdue=True, valid_until=date(2026, 3, 1))
    assert survey_text(desk_of(plan)) == "Surveyed 2026-05-09 · OVERDUE since 2026-03-01"


def test_every_limit_the_policy_can_decide_by_has_its_words(settings, plans, desk_of):
    groups = {"limits", "capture"}
    keys = [key for key in settings.policy.provenance if key.split(".")[0] in groups]
    silent = {
        "limits.boats_pass_under",
        "limits.far_bank_cut_off",
        "limits.rule_of_18_from",
        "limits.tie_height_head",
        "limits.set_fraction_of_strength",
    }
    for key in keys:
        value = settings.policy.value_of(key)
        plan = replace(plans["plain"], limits_used=(LimitUsed(key, value, "", ""),))
        printed = limits_text(desk_of(plan)) != limits_text(desk_of(replace(plan, limits_used=())))
        assert printed is (key not in silent), key


def test_every_post_danger_and_way_to_launch_has_its_words(words):
    for kind in PostKind:
        assert words.has(f"sheet.post.{kind.value}")
    for kind in DangerKind:
        assert words.has(f"sheet.danger.{kind.value}") is (kind is not DangerKind.OTHER)
    for method in ("hand_bag", "slingshot", "pneumatic", "cartridge", "boat", "swimmer"):
        assert words.has(f"sheet.launch_method.{method}")


def test_drop_rank_is_the_place_of_the_first_key_named():
    assert drop_rank(("overdue", "CAUTION"), ("NOTICE", "CAUTION")) == 1
    assert drop_rank(("strainer", "DANGER"), ("NOTICE", "CAUTION")) is None
    assert drop_order([None, 1, 0, 0]) == [3, 2, 1]


def test_rows_dropped_from_levels_are_counted(plans, letter, words, texts_of, hand_made):
    many = tuple(hand_made.make_stage(0.5 + 0.05 * n, 1.0 + 0.02 * n) for n in range(8))
    stages = (*many, *plans["plain"].chosen.stages[2:])
    plan = replace(plans["plain"], rigs=(replace(plans["plain"].chosen, stages=stages),))
    texts = texts_of(layout(plan, letter, words), "levels")
    rows = sum(text.endswith(" mph") for text in texts)
    assert f"+{len(stages) - rows} in the workings" in texts
    # the planning row and the modelled ones above it stay
    assert {"5.3 ft", "~ 6.3 ft", "~ 7.3 ft"} <= set(texts)
