"""Every number of two printed sheets, read back from the PDF with its place, against the plan.

One sheet inside plan, one outside. Each block's numbers, in reading order, must be those that are worked
out here from the plan's SI values with conversions and roundings of this file's own. A number that is
printed and not expected fails, and so does one that is expected and not printed.
"""

import re
from collections import Counter
from itertools import groupby
from math import ceil, floor

import pytest
from pyproj import Transformer

from atlas.paper import text_with_positions
from atlas.settings import load_settings
from atlas.settings.page import read_page_template
from atlas.sheets import layout, page_pdf

FT, LBF, MPH = 0.3048, 4.4482216152605, 0.44704
"""Metres, newtons, metres a second: exact, NIST SP 811."""
UTM_ZONE_7_NORTH = 32607
SAME_LINE_MM = 0.35
INK_MM = 1.0
"""How far a string may begin left of its block: a large letter's side bearing, a table's symbol."""


def numbers(*texts):
    """The numbers of texts, as printed."""
    return [found for text in texts for found in re.findall(r"(?<![\w-])-?\d+(?:\.\d+)?|\d+(?:\.\d+)?", text)]


def stepped(value, step, rounded):
    decimals = len(f"{step:g}".partition(".")[2])
    return f"{rounded(value / step) * step:.{decimals}f}"


def up(value, step=1.0):
    return stepped(value, step, lambda steps: ceil(steps - 1e-9))


def down(value, step=1.0):
    return stepped(value, step, lambda steps: floor(steps + 1e-9))


def near(value, step=1.0):
    return stepped(value, step, round)


@pytest.fixture(scope="module")
def template(folder):
    return read_page_template(load_settings(county=folder).template_path("sheet-letter.toml"))


@pytest.fixture(scope="module", params=["OT-03", "WEN-05"])
def sheet(request, plans, folder, template):
    """A demo site's plan and page, and what its PDF says: block -> lines of strings, top down."""
    plan = plans[request.param]
    page = layout(plan, template, load_settings(county=folder).words)
    found = [item for item in text_with_positions(page_pdf(page, template)) if item.text.strip()]
    blocks, placed = {}, []
    for name in type(template.block).model_fields:
        rule = getattr(template.block, name)
        left_mm, top_mm = template.content_left_mm + rule.left_mm, template.page.edge_mm + rule.top_mm
        inside = [
            item
            for item in found
            if left_mm - INK_MM <= item.x_mm <= left_mm + rule.width_mm
            and top_mm < item.y_mm <= top_mm + rule.height_mm
        ]
        placed += inside
        blocks[name] = in_lines(inside)
    outside = [item for item in found if item not in placed]
    assert len(placed) + len(outside) == len(found), "a string lies in two blocks"
    assert [item.text for item in outside] == [plan.reach.code], "only the thumb tab lies outside the blocks"
    return plan, page, blocks


def in_lines(items):
    """Strings by baseline, top down, each line from left to right; no-break spaces as plain ones."""
    ordered = sorted(items, key=lambda item: item.y_mm)
    lines, last_mm = [], None
    for item in ordered:
        if last_mm is None or item.y_mm - last_mm > SAME_LINE_MM:
            lines.append([])
            last_mm = item.y_mm
        lines[-1].append(item)
    return [
        [" ".join(item.text.split()) for item in sorted(line, key=lambda item: item.x_mm)] for line in lines
    ]


def flat(lines):
    return [text for line in lines for text in line]


def window(rig):
    """Ends rounded inward, pounds and kilonewtons."""
    low, high = rig.window.low_n, rig.window.high_n
    return [up(low / LBF, 10), down(high / LBF, 10)], [up(low / 1000, 0.1), down(high / 1000, 0.1)]


def haul(rig):
    """System, people, least and most it sets."""
    return [*numbers(rig.haul.system), str(rig.haul.people)], [
        down(rig.haul.least_n / LBF, 10),
        up(rig.haul.most_n / LBF, 10),
    ]


def test_head(sheet):
    plan, _, blocks = sheet
    (minutes,) = [time.minutes for time in plan.agency.minutes if time.reach == plan.reach.code]
    assert sorted(numbers(*flat(blocks["head"]))) == sorted([plan.site.code[-2:], up(minutes)])
    assert any(line[0] == plan.site.code for line in blocks["head"])


def test_stop_figures(sheet):
    plan, _, blocks = sheet
    rig, row = plan.chosen, plan.chosen.planning
    speed, stage = up(row.design_speed_m_s / MPH, 0.1), near(row.stage_m / FT, 0.1)
    got = [numbers(*line) for line in blocks["stop"]]
    if rig.limit is not None:
        limit_m_s = rig.limit.surface_speed_m_s
        bows = sorted(rig.limit_bows, key=lambda bow: abs(bow.at_m - plan.frame.span_m / 2))
        bow, *thirds = [one.bow_m for one in bows]
        assert len(thirds) == 2
        assert [line for line in got if line] == [
            # the gauge's own name stands over the limit level, digits and all
            [down(rig.limit.float_distance_m / FT), *numbers(plan.site.access.gauge)],
            [
                down(limit_m_s / MPH, 0.1), up(rig.limit.float_seconds, 0.5), down(bow / FT, 0.5),
                down(rig.limit.stage_m / FT, 0.1),
            ],
            [down(limit_m_s, 0.1), down(bow, 0.1), down(rig.limit.stage_m, 0.01)],
            ["3", down(min(thirds) / FT, 0.5), stage, speed],
        ]  # fmt: skip
        assert rig.limit.float_distance_m / rig.limit.float_seconds == pytest.approx(limit_m_s, rel=1e-9)
        return
    judged = [case for case in row.cases if case.judged]
    clear = min(judged, key=lambda case: case.clearance_m - case.clearance_needed_m)
    factor = min(judged, key=lambda case: case.factor)
    lines = [note.text for case in judged for note in case.why if note.code == "factor_line"]
    least_line = min(lines, key=lambda text: float(numbers(text)[0]))
    (asked,) = [limit.value for limit in plan.limits_used if limit.key == "limits.factor_track"]
    needed_m = clear.clearance_needed_m
    assert sorted(filter(None, got)) == sorted(
        [
            [stage, speed],
            [down(clear.clearance_m / FT, 0.1).removeprefix("-"), up(needed_m / FT, 0.1)],
            [down(factor.factor, 0.1), up(asked, 0.1)],
            numbers(least_line),
            numbers(rig.window_opens.text),
        ]
    )


def sexagesimal(degrees):
    whole = int(abs(degrees))
    return [str(whole), f"{round((abs(degrees) - whole) * 60, 3):06.3f}"]


def grid_metres(place):
    """UTM, cut to the metre, without the hundreds of kilometres that the square's letters stand for."""
    east, north = Transformer.from_crs(4326, UTM_ZONE_7_NORTH, always_xy=True).transform(*place)
    return floor(east) % 100_000, floor(north) % 100_000


def test_getting_there(sheet):
    plan, _, blocks = sheet
    access = plan.site.access
    places = (plan.access_place, plan.far_tie_place)
    grids = [
        number for place in places for number in ("07", *(f"{metres:05d}" for metres in grid_metres(place)))
    ]
    by_line = {tuple(numbers(*line)) for line in blocks["access"]}
    for axis in (1, 0):
        wanted = [number for place in places for number in sexagesimal(place[axis])]
        assert any(set(wanted) <= set(line) for line in by_line), wanted
    assert any(set(grids) <= set(line) for line in by_line)
    coordinates = [number for place in places for axis in (0, 1) for number in sexagesimal(place[axis])]
    said = numbers(
        *filter(None, (access.road, access.far_access, access.permission, access.radio, access.medical))
    )
    assert access.dam is None
    lines = [line for line in blocks["access"] if "Call" not in line]  # who comes has its own tests
    assert Counter(numbers(*flat(lines))) == Counter([*coordinates, *grids, *said, up(access.far_minutes)])


def line_lengths(plan):
    return {line.line: up(line.needed_m / FT) for line in plan.chosen.lines}


TAGS = {"track": "T", "ferry-near": "NF", "ferry-far": "FF", "up-down": "UD"}


def begins_m(danger):
    """The least distance down or up the river from the track line of any of its corners."""
    return min(abs(y_m) for part in danger.shape.parts for _, y_m in part)


def test_plan_view(sheet):
    plan, page, blocks = sheet
    lines = blocks["plan"]
    lengths = line_lengths(plan)
    scale = next(text for text in flat(lines) if re.fullmatch(r"\d+ ft \(\d+\.\d m\)", text))
    bar_ft, bar_m = numbers(scale)
    assert bar_m == near(float(bar_ft) * FT, 0.1)
    drawn = [
        text
        for item in page.items
        if item.block == "plan" and (text := getattr(item, "text", "")) in TAGS.values()
    ]
    assert sorted(drawn) == sorted(TAGS.values())
    for line, tag in TAGS.items():  # the length stands right of its tag
        row = next(row for row in lines if tag in row)
        assert row[row.index(tag) + 1] == f"{lengths[line]} ft"
    tags = [anchor.tag for anchor in plan.chosen.anchors if not (anchor.drowned and anchor.load_n is None)]
    assert {text for text in flat(lines) if re.fullmatch(r"[NF]\d", text)} == set(tags)
    grid = [text for text in flat(lines) if re.fullmatch(r"\d\d \d{3} [EN]", text)]
    assert len(grid) > 3
    for text in grid:  # figures of the square of 100 km, of lines near the site
        here = list(grid_metres(plan.access_place))[text[-1] == "N"]
        assert abs(int(text[:-2].replace(" ", "")) - here) < 150
    lines = [[text for text in line if text not in grid] for line in lines]
    beyond = [down(begins_m(danger) / FT) for danger in plan.frame.dangers]
    assert all(begins_m(danger) > 40.0 for danger in plan.frame.dangers), "beyond the view"
    share = 100 * plan.chosen.answers.reached.share
    held = [] if down(share) in {"0", "100"} else [down(share)]
    assert Counter(numbers(*flat(lines))) == Counter(
        [*numbers(*tags), bar_ft, bar_m, *(lengths[line] for line in TAGS), *beyond, *held]
    )


def ratio_drawn(page, plan):
    """How much heights are stretched: the empty rope's sag against its span, drawn over computed."""
    profile = plan.chosen.profile
    (rope,) = [
        item.points
        for item in page.items
        if item.block == "section"
        and len(getattr(item, "points", ())) == len(profile.x_m)
        and abs(item.stroke.weight_mm - min(stroke_weights(page, len(profile.x_m)))) < 1e-9
    ]
    heights = profile.unloaded_m
    along = abs(rope[-1][0] - rope[0][0]) / (profile.x_m[-1] - profile.x_m[0])
    return (max(y for _, y in rope) - min(y for _, y in rope)) / (max(heights) - min(heights)) / along


def stroke_weights(page, points):
    return [
        item.stroke.weight_mm
        for item in page.items
        if item.block == "section" and len(getattr(item, "points", ())) == points
    ]


def test_section(sheet):
    plan, page, blocks = sheet
    row, frame = plan.chosen.planning, plan.frame
    worst = min(
        (case for case in row.cases if case.judged),
        key=lambda case: case.clearance_m - case.clearance_needed_m,
    )
    texts = flat(blocks["section"])
    (times,) = [number for text in texts if "times" in text for number in numbers(text)]
    assert float(times) == pytest.approx(ratio_drawn(page, plan), rel=1e-3)
    ties = {
        frame.track_near_tag: down((frame.near_tie_height_m - row.rise_m) / FT, 0.1),
        frame.track_far_tag: down((frame.far_tie_height_m - row.rise_m) / FT, 0.1),
    }
    for tag, height in ties.items():  # the height stands right of its tag
        line = next(line for line in blocks["section"] if tag in line)
        assert line[line.index(tag) + 1] == f"{height} ft"
    clear = down(worst.clearance_m / FT, 0.1)
    wet = clear.startswith("-")
    assert (f"under water by {clear.removeprefix('-')} ft" if wet else f"clear {clear} ft") in texts
    assert f"needs {up(worst.clearance_needed_m / FT, 0.1)} ft" in texts
    assert Counter(numbers(*texts)) == Counter(
        [
            times, *numbers(*ties), *ties.values(), near(row.stage_m / FT, 0.1),
            clear.removeprefix("-"), up(worst.clearance_needed_m / FT, 0.1),
        ]
    )  # fmt: skip


def test_lines(sheet):
    plan, _, blocks = sheet
    expected = []
    for line in plan.chosen.lines:
        assert line.short_m == 0.0
        held = (
            [down(rope.length_m / FT) for rope in line.take],
            [down(rope.length_m, 0.1) for rope in line.take],
        )
        rope = [
            number
            for each in line.take[:1]
            for number in (*numbers(each.rope), near(each.diameter_m * 1000, 0.1).removesuffix(".0"))
        ]
        expected.append([up(line.needed_m / FT), *held[0]])
        expected.append([*rope, up(line.needed_m, 0.1), *held[1]])
    assert [found for line in blocks["lines"] if (found := numbers(*line))] == expected


def test_track_line(sheet):
    plan, _, blocks = sheet
    rig = plan.chosen
    system, sets = haul(rig)
    first = []
    if rig.window is not None:
        pounds, kilonewtons = window(rig)
        first = [[*pounds, *kilonewtons, up(rig.seating_m / FT, 0.1)]]
    boat = [] if rig.closest_boat_m is None else [[up(rig.closest_boat_m / FT)]]
    slack = min(one.slack_m for one in rig.track_answers.slack if one.slack_m is not None)
    assert slack < 0.1 * FT, "in words"
    over = next(pull for pull in rig.answers.hand_overs if pull.line == "track")
    run = [up(rig.haul.travel_m / FT), down(plan.site.access.near_run_m / FT)] if rig.haul.fits else []
    capture = [] if rig.capture_limit_n is None else [[down(rig.capture_limit_n / LBF, 10)]]
    assert [found for line in blocks["track"] if (found := numbers(*line))] == [
        [str(over.slack_people), str(over.tight_people)],
        *first,
        *pulse(rig),
        [*system, *sets, *run],
        *capture,
        [up(rig.travel_from_m / FT), down(rig.travel_to_m / FT)],
        *boat,
        ["1", "2", "3"],
    ]


def pulse(rig):
    """Inward, and how often it comes back; without a window there is nothing to tell."""
    told = rig.track_answers.pulse
    if told is None:
        return []
    from_s, to_s = told.dry_s if told.from_s is None else (told.from_s, told.to_s)
    return [[str(told.returns), up(from_s, 0.1), down(to_s, 0.1)]]


def level(stage):
    cases = {case.case: case for case in stage.cases}
    clear_m = min(case.clearance_m for case in stage.cases if case.judged)
    return [
        near(stage.stage_m / FT, 0.1), up(stage.design_speed_m_s / MPH, 0.1),
        down(cases["boat-held"].factor, 0.1), down(cases["boat-swamped"].factor, 0.1),
        down(clear_m / FT, 0.1).replace("-", "\N{MINUS SIGN}"),
        "inside" if stage.inside else "OUTSIDE",
    ]  # fmt: skip


def test_levels(sheet):
    """The rows printed follow one another without a gap, the planning row among them; the rest is counted."""
    plan, _, blocks = sheet
    rows = [line for line in blocks["levels"] if line[-1] in {"inside", "OUTSIDE"}]
    minus = "\N{MINUS SIGN}"
    got = [[*numbers(*line[:-2]), line[-2].removesuffix(" ft"), line[-1]] for line in rows]
    assert any(minus in line[-2] for line in rows) == (plan.site.code == "WEN-05")
    wanted = [level(stage) for stage in plan.chosen.stages]
    start = wanted.index(got[0])
    assert got == wanted[start : start + len(got)]
    assert level(plan.chosen.planning) in got
    left_out = len(wanted) - len(got)
    rest = [numbers(*line) for line in blocks["levels"] if line not in rows]
    looks = next(one for one in plan.chosen.answers.decisions if one.code == "every_interval").numbers
    known = {number.name: number.value for number in looks}
    rise = down(known["rise_to_stop_m"] / FT, 0.1) if "rise_to_stop_m" in known else "0.0"
    stop = [] if float(rise) == 0.0 else [[rise, up(known["interval_s"] / 60)]]
    assert [found for found in rest if found] == [*stop, *([[str(left_out)]] if left_out else [])]


def test_anchors(sheet):
    plan, _, blocks = sheet
    expected = []
    for anchor in plan.chosen.anchors:
        assert not anchor.do_not_use
        row = [*numbers(anchor.tag), down(anchor.height_planning_m / FT, 0.1)]
        least = plan.chosen.tie_heights
        # none where no height that is looked at lifts the ferry lines
        if "track" in anchor.uses and least is not None:
            height_m = least.near_m if anchor.bank == "near" else least.far_m
            row.append(up((height_m - plan.chosen.planning.rise_m) / FT, 0.1))
        if anchor.load_n is not None:
            row += [up(anchor.load_n / LBF, 10), up(anchor.needed_n / LBF, 10)]
        expected.append([*row, down(anchor.rating_n / LBF, 10)])
    assert [found for line in blocks["anchors"] if (found := numbers(*line))] == expected


def test_posts(sheet):
    plan, _, blocks = sheet
    wanted = Counter(
        (*(f"{metres // 10:04d}" for metres in grid_metres(post.place)), near(abs(post.downstream_m) / FT))
        for post in plan.posts
    )
    title, *lines, times = [numbers(*line) for line in blocks["posts"]]
    posts = plan.chosen.answers.posts
    in_time = list(dict.fromkeys([str(posts.in_time_least), str(posts.in_time_most)]))
    more = [] if len(times) > 1 else [times]
    if more:
        *lines, times = lines
    assert times == [*in_time, str(len(posts.throwers))]
    assert lines[0][0] == up(posts.spotter_needed_m / FT), "the spotter stands farthest up"
    rows = Counter(tuple(line) for line in [lines[0][1:], *lines[1:]])
    left_out = len(plan.posts) - rows.total()
    assert title == ["07"]
    assert rows <= wanted
    assert more == ([[str(left_out)]] if left_out else [])


def test_gear_and_crew(sheet):
    plan, _, blocks = sheet
    gear = []
    for need in plan.chosen.gear:
        rating = [up(need.rating_n / 1000, 0.1)] if need.rating_n else []
        gear.append([str(need.needed), *rating, *([str(need.short)] if need.short else [])])
    crew = [str(part.people) for part in plan.chosen.crew]
    lines = [numbers(*line) for line in blocks["gear"]]
    starts = next(number for number, line in enumerate(blocks["gear"]) if line[0].startswith("Crew"))
    printed = [line for line in lines[:starts] if line]
    left_out = sum(text.endswith("in the workings") for text in flat(blocks["gear"]))
    if left_out:
        *printed, (count,) = printed
        assert len(printed) + int(count) == len(gear)
    rest = iter(gear)
    assert all(line in rest for line in printed), "in the order of the plan"
    assert left_out or len(printed) == len(gear)
    assert [number for line in lines[starts:] for number in line] == [
        str(sum(part.people for part in plan.chosen.crew)),
        *crew,
    ]


def test_what_goes_wrong(sheet):
    """Both sites' soonest danger is none of kind other, or is named as the survey has it: no number in it."""
    plan, _, blocks = sheet
    answers, track = plan.chosen.answers, plan.chosen.track_answers
    lost = track.far_ferry_lost
    first = min(answers.dangers, key=lambda danger: danger.last_catch_along_m)
    least = min(line.factor for line in track.track_parted.lines)
    weak = least < track.track_parted.factor_needed
    wanted = [
        [
            *(found for line in track.track_parted.lines
              for found in (*numbers(line.anchor), up(line.sudden_n / LBF, 10))),
            down(least, 0.1) if weak else up(track.track_parted.drift_m / FT),
        ],
        [near(lost.rest_m / FT)],
        [down(danger.seconds_s) for danger in answers.dangers],
        [],
        [],
        [down(first.last_catch_m / FT)] if first.catch_in_time else [],
    ]  # fmt: skip
    assert [numbers(*line) for line in blocks["contingencies"][1:]] == wanted


def test_cautions(sheet):
    plan, _, blocks = sheet
    texts = " ".join(" ".join(line) for line in blocks["cautions"])
    for signal, group in groupby(plan.cautions, key=lambda caution: caution.signal):
        assert signal in texts
        for caution in group:  # none of those that were left out holds a number
            assert numbers(caution.text) == (
                [up(plan.site.access.far_minutes)] if numbers(caution.text) else []
            )
    more = numbers(*re.findall(r"\+\d+ in the workings", texts))
    assert numbers(texts) == [*numbers(*(caution.text for caution in plan.cautions)), *more]


LIMITS = {
    "limits.factor_track": lambda value: up(value, 0.1),
    "limits.factor_lines": lambda value: up(value, 0.1),
    "limits.clearance": lambda value: up(value / FT, 0.1),
    "limits.anchor_ratio": lambda value: up(value, 0.1),
    "limits.anchor_track_least": lambda value: up(value / LBF, 10),
    "limits.anchor_station_least": lambda value: up(value / LBF, 10),
    "limits.pull_per_person": lambda value: up(value / LBF, 10),
    "limits.clearance_closest_boat": lambda value: up(value / FT, 0.1),
    "capture.general_use": lambda value: down(value / LBF, 10),
    "limits.rule_of_12": near,
    "limits.rule_of_18": near,
}
AFTER = {"limits.clearance": ["2"], "limits.anchor_ratio": ["1"]}
"""What the wording puts after a limit: over v2/2g, and to 1."""
NOT_PRINTED = {"limits.set_fraction_of_strength"}


def test_foot(sheet):
    plan, _, blocks = sheet
    limits = []
    for limit in plan.limits_used:
        if limit.key not in NOT_PRINTED:
            limits += [LIMITS[limit.key](limit.value), *AFTER.get(limit.key, [])]
    dates = [*numbers(plan.site.access.surveyed.isoformat()), *numbers(plan.valid_until.isoformat())]
    assert numbers(*flat(blocks["foot"])) == [*dates, *limits, *numbers(plan.edition)]
