import re
from dataclasses import replace

from atlas.workings import derivation
from atlas.workings.section import number


def sections(plan, settings):
    return {section.title: section for section in derivation(plan, settings.policy)}


def test_every_step_is_there_in_its_order(plan, settings):
    titles = [section.title for section in derivation(plan, settings.policy)]
    assert titles == [
        "OT-03  Foundry Bend",
        "Water as noted",
        "Frame",
        "Rig: movable-control-point",
        "Stages",
        "Rope of the track line: Static A, QF4",
        "Loads, case by case",
        "Why outside plan",
        "Pretension window",
        "Haul 3:1, 3 people",
        "Limit, governed by clearance",
        "Limit bow",
        "Least tie heights, and the water that empties the window",
        "Lines, part by part",
        "Anchors and stations at the planning stage",
        "Gear",
        "Crew, 18",
        "Who comes",
        "Pulse check, 10 returns",
        "If the track line parts: ring and boat hang on the ferry lines",
        "If the far ferry line is lost",
        "If the up-down line goes: seconds to each danger",
        "Slack budget of the up-down line",
        "Hand-over: a line that touches the water from bank to bank",
        "Posts in time",
        "Ground: reached, and not to be stood on",
        "Decision points, release order, knives",
        "Limits used",
        "Assumed",
        "Cautions",
    ]


def test_rows_are_as_long_as_their_head(plan, settings):
    for section in derivation(plan, settings.policy):
        assert all(len(row) == len(section.head) for row in section.rows), section.title


def test_an_invented_county_says_so_and_the_statement_stands(plan, settings):
    notes = derivation(plan, settings.policy)[0].notes
    assert "INVENTED: not a real place" in notes
    assert "Planning aid. It does not command." in notes
    real = replace(plan, county=replace(plan.county, invented=False))
    assert "INVENTED: not a real place" not in derivation(real, settings.policy)[0].notes


def test_the_drag_notes_of_a_computed_site_can_be_worked_out_by_hand(computed, settings):
    """Every factor of the equation is printed, and they multiply to the figure beside them."""
    notes = sections(computed, settings)["Loads, case by case"].notes
    equations = [note for note in notes if "CdA" in note]
    assert len(equations) == 4
    for note in equations:
        surge, density, area, speed, drag = map(
            float,
            re.search(r"= ([\d.]+) x 1/2 x ([\d.]+) x ([\d.]+) x ([\d.]+)\^2 = (\d+) N", note).groups(),
        )
        # the speed is printed to a millimetre a second: 0.1 % of its square at 1 m/s, and 0.5 N of rounding
        assert abs(surge * 0.5 * density * area * speed**2 - drag) <= 0.001 * drag + 0.5


def test_the_parts_of_a_computed_line_add_up_to_its_need(computed, settings):
    rows = sections(computed, settings)["Lines, part by part"].rows
    total_m, lines = 0.0, 0
    for line, _, length, *_ in rows:
        metres = float(length.removesuffix(" m"))
        if not line:
            total_m += metres
            continue
        assert abs(total_m - metres) < 0.05  # each part is printed to 5 mm
        total_m, lines = 0.0, lines + 1
    assert lines == 6


def test_outside_plan_is_told_with_what_would_open_the_window(hand_made, settings):
    found = sections(hand_made.outside_plan(settings.words), settings)
    assert found["Pretension window"].notes == (
        "none: no set tension meets every limit at the planning stage",
        "Ties 2.5 ft higher on both banks would open the window",
    )
    assert found["Limit"].notes == ("none: outside plan at the planning stage at any speed",)
    assert "Haul 2:1, 3 people: DOES NOT FIT the window" in found
    track = next(row for row in found["Lines, part by part"].rows if row[0] == "track")
    assert track[-1] == "SHORT 25 ft (7.4 m)"


def test_a_number_has_its_unit_and_a_nought_no_minus():
    assert number(1.25, 1, "m") == "1.2 m"
    assert number(-0.04, 1, "deg") == "0.0 deg"
    assert number(-0.06, 1, "deg") == "-0.1 deg"
    assert number(3.0, 2) == "3.00"
    assert number(None, 2, "m") == "-"


def test_figures_are_given_in_si_and_as_paper_rounds_them(plan, settings):
    limit = sections(plan, settings)["Limit, governed by clearance"]
    assert limit.head == ("figure", "computed", "as printed")
    assert limit.rows[0] == ("limit speed", "1.970 m/s", "4.4 mph (1.9 m/s)")
    window = sections(plan, settings)["Pretension window"]
    assert window.rows[0] == ("from, by clearance", "1080 N", "250 lbf (1.1 kN)")
    assert window.rows[1] == ("to, by factor", "2510 N", "560 lbf (2.5 kN)")
    metric = replace(plan, county=replace(plan.county, units="si"))
    assert sections(metric, settings)["Limit, governed by clearance"].rows[0][2] == "1.9 m/s (4.4 mph)"
