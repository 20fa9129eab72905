"""The derivation of demo sites: every printed line worked out again from the numbers as they are printed."""

from dataclasses import replace
from math import asinh, hypot, sqrt

import pytest

from atlas.rigging import Rope, TrackLine
from atlas.units import UnitSystem, printed
from atlas.units.figures import Figure
from atlas.workings.paper import derive
from atlas.workings.paper.entries import Chapter, Check, Given, Step, Table, Value, sided, table_lines
from atlas.workings.paper.recompute import faults_of, lines_of


def chapter(derivation, code):
    return next(one for one in derivation.chapters if one.code == code)


def told(one):
    """Every number of a chapter by its symbol, as printed."""
    numbers = {}
    for entry in one.entries:
        if isinstance(entry, Given | Step):
            numbers[entry.result.symbol] = entry.result.printed
        elif isinstance(entry, Table):
            for instance, quantity, value in table_lines(entry):
                numbers[sided(quantity.symbol, instance.side)] = value.printed
    return numbers


def tables(one):
    return [entry for entry in one.entries if isinstance(entry, Table)]


def test_every_line_follows_from_its_printed_numbers(derivation):
    assert list(faults_of(derivation.chapters)) == []
    assert len(lines_of(derivation.chapters)) > 150


def test_lines_are_printed_with_digits_enough_to_prove_something(derivation):
    """The slack of a line is small against what it is about: the result, or the largest of its terms."""
    for line in lines_of(derivation.chapters):
        about = max(
            abs(line.result.printed),
            *(abs(v.printed) for v in line.values if v.unit == line.result.unit),
            0.0,
        )
        assert line.allowed <= max(2e-3 * about, 1.5 * 10.0**-line.result.decimals), line


def altered(chapters, number):
    """The same derivation with one result off by three of its last digits."""
    count = 0
    for place, one in enumerate(chapters):
        for spot, entry in enumerate(one.entries):
            if isinstance(entry, Step):
                if count == number:
                    off = replace(entry.result, value=entry.result.value + 3.0 * 10.0**-entry.result.decimals)
                    entries = (*one.entries[:spot], replace(entry, result=off), *one.entries[spot + 1 :])
                    return (*chapters[:place], replace(one, entries=entries), *chapters[place + 1 :])
                count += 1
    return None


def test_a_result_that_is_off_is_found_wherever_it_stands(demo):
    """Three of the last digit are more than what rounding carries into nearly all of the lines."""
    chapters = demo.derivation("OT-01").chapters
    found, number = 0, 0
    while (wrong := altered(chapters, number)) is not None:
        found += any(True for _ in faults_of(wrong))
        number += 1
    assert number > 90
    assert found >= 0.95 * number


def test_both_sides_close_by_the_textbook_s_own_form(derivation):
    """Irvine's equations with arsinh, which the derivation does not use, on the printed pulls and lengths.

    run = H s / EA + H / w (arsinh V1 / H - arsinh V0 / H), rise = s (V0 + V1) / 2 EA + (t1 - t0) / w.
    Tolerance: half a millinewton on pulls of 0.3 to 6 kN over w of 1 N/m is 0.5 mm and more of run for
    each of four roundings, since these forms subtract near equals.
    """
    for code in ("tension", "clearance"):
        numbers = {**told(chapter(derivation, "rope")), **told(chapter(derivation, code))}
        span = told(chapter(derivation, "survey"))["L"]
        places = {"n": numbers["x_c"], "f": numbers["x_c"] - span}
        for side, along in places.items():
            across, pull_x, pull_y = numbers["y_c"], numbers[f"Q_x{side}"], numbers[f"Q_y{side}"]
            first, last = numbers[f"V_0{side}"], numbers[f"V_1{side}"]
            length, weight, stiffness = numbers[f"s_{side}"], numbers["w"], numbers["E"]
            level = hypot(pull_x, pull_y)
            run = level * length / stiffness + level / weight * (asinh(last / level) - asinh(first / level))
            assert run == pytest.approx(hypot(along, across), abs=0.004)
            rise = length * (first + last) / (2 * stiffness)
            rise += (sqrt(level**2 + last**2) - sqrt(level**2 + first**2)) / weight
            height = numbers["z_c"] - (told(chapter(derivation, "frame"))["u"] if side == "f" else 0.0)
            assert rise == pytest.approx(height, abs=0.002)


def test_the_three_sums_of_forces_close(derivation):
    for code in ("tension", "clearance"):
        sums = [entry.result for entry in chapter(derivation, code).entries if isinstance(entry, Step)]
        closed = {value.symbol: value.text for value in sums if value.symbol.startswith("K_")}
        assert closed == {"K_x": "0.00", "K_y": "0.00", "K_z": "0.00"}


def row_line(derivation, numbers):
    rope, frame = derivation.rigged.rig.rope, derivation.rigged.plan.frame
    line = TrackLine(
        span_m=frame.span_m,
        rise_m=frame.rise_m,
        rope=Rope(strength_n=rope.strength_n, weight_n_m=rope.weight_n_m, stiffness_n=numbers["E"]),
        pretension_n=numbers["H_0"],
        seating_m=numbers["q"],
    )
    return line.loaded(at_m=numbers["x_c"], downstream_n=numbers["F_y"], down_n=numbers["F_z"])


def test_rows_of_the_case_tables_give_tension_clearance_and_bow_back(derivation):
    """Every row, by the track line, from the printed numbers of the row."""
    rigged = derivation.rigged
    tight, low, *lines, bows = tables(chapter(derivation, "cases"))
    ring = rigged.plan.frame.near_tie_height_m - rigged.policy.loads.ring_below_line
    stages = [stage for stage in rigged.rig.stages for _ in stage.cases]
    assert len(tight.instances) == len(low.instances) == len(stages)
    for instance in tight.instances:
        numbers = {cell.symbol: cell.printed for cell in instance.cells}
        state = row_line(derivation, numbers)
        # 0.05 N of set tension, 0.5 N of EA (some N in 1e5) and the tension's own last digit
        assert float(state.tension_n) == pytest.approx(numbers["T"], abs=0.2)
    for instance, stage in zip(low.instances, stages, strict=True):
        numbers = {cell.symbol: cell.printed for cell in instance.cells if isinstance(cell, Value)}
        state = row_line(derivation, numbers)
        clear = ring + float(state.height_m) - stage.rise_m
        if "carriage" in instance.cells:
            assert clear == pytest.approx(numbers["C"], abs=0.002)
        else:
            assert clear > numbers["C"] - 0.002
    lowest = [case.lowest_line for stage in rigged.rig.stages for case in stage.cases if case.lowest_line]
    assert [len(one.instances) for one in lines] == ([len(lowest)] if lowest else [])
    for instance, line in zip(lines[0].instances if lines else (), lowest, strict=True):
        assert instance.cells[-1].value == pytest.approx(line.over_water_m, abs=1e-9)
    assert bows.instances
    for instance in bows.instances:
        numbers = {cell.symbol: cell.printed for cell in instance.cells}
        state = row_line(derivation, numbers)
        assert float(state.downstream_m) == pytest.approx(numbers["y_b"], abs=0.002)


def test_results_are_the_plan_s_own(derivation):
    rig, rigged = derivation.rigged.rig, derivation.rigged
    tension = max(case.tension_n for case in rigged.judged)
    least = min(case.clearance_m - case.clearance_needed_m for case in rigged.judged)
    steps = {
        (one.code, entry.result.symbol): entry
        for one in derivation.chapters
        for entry in one.entries
        if isinstance(entry, Given | Step)
    }
    assert steps["tension", "T"].result.value == pytest.approx(tension, rel=1e-9)
    assert steps["clearance", "C"].result.value - steps["clearance", "C_n"].result.value == pytest.approx(
        least
    )
    assert steps["haul", "H_lo"].result.value == rig.haul.least_n
    assert steps["haul", "H_up"].result.value == rig.haul.most_n
    needed = [entry.result.value for entry in by_title(derivation, "Needed")]
    assert needed == [line.needed_m for line in rig.lines]
    if rig.limit is not None:
        assert steps["limit", "v_L"].result.value == rig.limit.surface_speed_m_s
    if rig.window is not None:
        ends = (steps["window", "H_1"].result.value, steps["window", "H_2"].result.value)
        assert ends == (rig.window.low_n, rig.window.high_n)


def by_title(derivation, title):
    return [
        entry
        for one in derivation.chapters
        for entry in one.entries
        if isinstance(entry, Given | Step | Check) and entry.title == title
    ]


def test_loads_of_anchors_are_the_pulls_told_above_them(derivation):
    """Each tie point and station in use with a load has it in the table of pulls, to the last digit."""
    pulls, anchors = tables(chapter(derivation, "anchors"))[:2]
    told = {cell.text for one in pulls.instances for cell in one.cells if cell.symbol == "Q"}
    loads = {
        cell.text
        for one in anchors.instances
        for cell in one.cells
        if isinstance(cell, Value) and cell.symbol == "Q"
    }
    assert loads
    assert loads <= told


def test_checks_say_what_the_plan_says_of_the_planning_row(derivation):
    judged = derivation.rigged.judged
    codes = {note.code for case in judged for note in case.why}
    parts, clear = chapter(derivation, "parts"), chapter(derivation, "clearance")
    checks = {
        entry.title: entry.holds
        for one in (parts, clear)
        for entry in one.entries
        if isinstance(entry, Check)
    }
    assert checks["Factor"] is ("factor" not in codes)
    assert checks["Clearance"] is ("clearance" not in codes)
    assert checks.get("Loaded tension on the capture", True) is ("capture" not in codes)


def test_tended_lines_are_judged_as_the_plan_judges_them(derivation):
    (table,) = tables(chapter(derivation, "tended"))
    outside = any("OUTSIDE" in one.cells for one in table.instances)
    codes = {note.code for case in derivation.rigged.judged for note in case.why}
    assert outside is ("factor_line" in codes)


def test_the_sheet_s_figures_stand_beside_the_derived_ones(demo):
    derivation = demo.derivation("OT-01")
    rig = derivation.rigged.rig
    steps = {
        entry.result.symbol: entry
        for entry in chapter(derivation, "limit").entries
        if isinstance(entry, Given | Step)
    }
    assert steps["v_L"].shown == printed(Figure.LIMIT_SPEED, rig.limit.surface_speed_m_s, UnitSystem.US).both


def checks_of(derivation, code):
    return {
        entry.title: entry.holds for entry in chapter(derivation, code).entries if isinstance(entry, Check)
    }


def test_at_every_limit_turned_round_nothing_is_broken(derivation):
    """Limit speed, limit stage, tie heights, the water that empties the window: on their good side."""
    for code in ("limit", "bow", "ties", "closing"):
        checks = checks_of(derivation, code)
        assert all(checks.values()), (code, checks)


def test_limit_bows_follow_from_their_printed_loads(derivation):
    """Each row by the track line alone."""
    one = chapter(derivation, "bow")
    (table,) = tables(one)
    numbers = told(one)
    assert len(table.instances) == len(derivation.rigged.rig.limit_bows) == 3
    for number in (1, 2, 3):
        row = {"H_0": numbers["H_0"], "E": numbers["E"], "q": 0.0}
        row |= {symbol: numbers[f"{symbol}{number}"] for symbol in ("x_c", "F_y", "F_z")}
        state = row_line(derivation, row)
        assert float(state.tension_n) == pytest.approx(numbers[f"T_{number}"], abs=0.2)
        assert float(state.downstream_m) == pytest.approx(numbers[f"y_b{number}"], abs=0.002)


def test_a_limit_stage_tells_its_setbacks_and_travel(demo):
    numbers = told(chapter(demo.derivation("OT-01"), "limit"))
    plan = demo.plan("OT-01")
    limit = plan.chosen.limit
    assert numbers["s_L"] == pytest.approx(limit.stage_m, abs=5e-4)
    whole_m = numbers["b_ng"] + numbers["B_g"] + numbers["b_fg"]
    assert whole_m == pytest.approx(plan.frame.span_m, abs=0.002)
    assert numbers["v_L"] == pytest.approx(min(limit.held_speed_m_s, limit.stage_speed_m_s), abs=1e-4)


def test_each_input_names_where_it_comes_from(derivation):
    for one in derivation.chapters:
        for entry in one.entries:
            if isinstance(entry, Given | Step):
                assert entry.source, (one.code, entry.title)


def test_no_window_says_so_and_what_would_open_it(demo):
    texts = [entry.text for entry in chapter(demo.derivation("OT-06"), "window").entries]
    assert "No set tension meets every limit at the planning stage." in texts
    assert demo.plan("OT-06").chosen.window_opens.text in texts


def test_a_site_without_any_stage_says_so(demo):
    rise = next(
        entry for entry in chapter(demo.derivation("PC-01"), "water").entries
        if isinstance(entry, Given) and entry.result.symbol == "h_w"
    )  # fmt: skip
    assert (rise.result.text, rise.source) == ("0.000", "no stage known: water of the survey day")


def test_a_line_tied_off_is_not_held_against_the_capture(demo):
    parts = chapter(demo.derivation("WEN-04"), "parts")
    assert not [entry for entry in parts.entries if isinstance(entry, Check) and "capture" in entry.title]
    assert any("tied off" in getattr(entry, "text", "") for entry in parts.entries)


def test_a_row_nobody_measured_shows_its_model(demo):
    (rows,) = [table for table in tables(chapter(demo.derivation("PC-03"), "water")) if table.across]
    planning = next(stage for stage in demo.plan("PC-03").chosen.stages if stage.planning)
    assert planning.modelled
    cells = {cell.symbol: cell.value for cell in rows.instances[0].cells}
    assert cells["v"] == planning.design_speed_m_s
    assert cells["v_u"] == pytest.approx(1.4 * cells["v_m"])  # the policy's margin of 40 %


def test_a_mean_is_turned_into_a_surface_speed_in_sight(demo):
    steps = [
        entry for entry in chapter(demo.derivation("WEN-04"), "water").entries if isinstance(entry, Step)
    ]
    turned = [step for step in steps if step.formula.startswith("v_a")]
    assert [step.formula for step in turned] == ["v_a1 / k_v1", "v_a2 / k_v2"]


def test_si_units_stand_first_where_the_county_says_so(demo):
    plan = demo.plan("OT-01")
    metric = derive(replace(plan, county=replace(plan.county, units="si")), demo.settings)
    span = next(
        entry for entry in chapter(metric, "survey").entries if getattr(entry, "title", "").startswith("Span")
    )
    assert span.shown == "39.0 m (128 ft)"


def test_the_derivation_of_a_computed_site_of_another_county_closes(computed, settings):
    assert list(faults_of(derive(computed, settings).chapters)) == []


def test_chapters_are_all_there_in_their_order(demo):
    assert [one.code for one in demo.derivation("OT-01").chapters] == [
        "survey", "frame", "water", "rope", "drag", "haul", "tension", "parts", "clearance", "tended",
        "window", "limit", "bow", "ties", "closing", "lines", *["line"] * 6, "anchors", "pulse", "if_lost",
            "crew_asks", "cases", "compare", "told",
    ]  # fmt: skip
    assert all(isinstance(one, Chapter) for one in demo.derivation("OT-01").chapters)
