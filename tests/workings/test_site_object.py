import json
from dataclasses import replace

import numpy as np
import pytest

from atlas.faults import OutOfRange
from atlas.rigging import Rope, TrackLine
from atlas.workings import workings_json, workings_object

# The contract, typed from its text: keys in their order, and what may stand beside them is added after.
SITE = [
    "schema", "site", "name", "reach", "edition", "as_of", "span_m", "chord_m", "rise_m", "width_m",
    "setback_near_m", "setback_far_m", "reach_down_m", "rigs", "cautions", "warnings",
]  # fmt: skip
RIG = [
    "rig", "chosen", "lines", "rope", "pretension_n", "pretension_window_n", "least_factor", "haul",
    "closest_boat_m", "stages", "limit", "gear", "crew",
]  # fmt: skip
LINE = ["line", "needed_m", "floor_m", "parts", "take", "short_m"]
ROPE = ["strength_n", "weight_n_m", "stiffness_n", "stiffness_low_n", "stiffness_high_n", "kept"]
STAGE = [
    "name", "planning", "stage_m", "discharge_m3_s", "surface_speed_m_s", "design_speed_m_s", "width_m",
    "beyond_survey", "cases",
]  # fmt: skip
CASE = [
    "case", "drag_n", "tension_n", "tension_at", "clearance_m", "clearance_at", "bow_m", "factor",
    "ferry_near_n", "ferry_far_n", "up_down_hold_n", "up_down_haul_n", "inside", "why",
]  # fmt: skip
PLACE = ["at_m", "load_n", "pretension_n", "stiffness_n", "seating_m"]


def starts_with(table, keys):
    return list(table)[: len(keys)] == keys


def test_the_keys_of_the_contract_stand_first_and_in_its_order(plan):
    found = workings_object(plan)
    (rig,) = found["rigs"]
    stage = rig["stages"][0]
    case = stage["cases"][0]
    assert starts_with(found, SITE)
    assert starts_with(rig, RIG)
    assert all(starts_with(line, LINE) for line in rig["lines"])
    assert starts_with(rig["rope"], ROPE)
    assert starts_with(stage, STAGE)
    assert starts_with(case, CASE)
    assert list(case["tension_at"]) == PLACE
    assert list(case["clearance_at"]) == PLACE
    assert starts_with(rig["limit"], ["surface_speed_m_s", "stage_m", "governed_by"])
    assert starts_with(rig["haul"], ["system", "people"])
    assert starts_with(rig["gear"][0], ["item", "needed", "held", "short"])
    assert starts_with(rig["crew"][0], ["post", "people"])
    assert starts_with(rig["lines"][0]["take"][0], ["agency", "rope", "length_m"])
    assert list(rig["lines"][0]["parts"][0]) == ["part", "length_m"]
    assert starts_with(found["cautions"][0], ["signal", "text"])


def test_values_are_those_of_the_plan_and_not_rounded(plan):
    found = workings_object(replace(plan, frame=replace(plan.frame, span_m=42.123456789012345)))
    (rig,) = found["rigs"]
    assert found["span_m"] == 42.123456789012345
    assert found["site"] == "OT-03"
    assert found["as_of"] == "2026-06-01"
    assert rig["pretension_window_n"] == [1080.0, 2510.0]
    assert rig["least_factor"] == 5.6
    assert rig["limit"]["surface_speed_m_s"] == 1.97
    assert rig["stages"][2]["planning"] is True
    assert [stage["planning"] for stage in rig["stages"]].count(True) == 1
    assert rig["stages"][0]["cases"][0]["tension_at"]["load_n"] == [0.0, 2800.0, -200.0]


def test_what_is_unknown_or_missing_is_null(hand_made, settings):
    plan = hand_made.outside_plan(settings.words)
    dry = replace(plan.chosen.stages[0], stage_m=None, discharge_m3_s=None)
    rig = replace(plan.chosen, stages=(dry, *plan.chosen.stages[1:]), closest_boat_m=None)
    (found,) = json.loads(workings_json(replace(plan, rigs=(rig,))))["rigs"]
    assert found["pretension_window_n"] is None
    assert found["limit"] is None
    assert found["closest_boat_m"] is None
    assert found["stages"][0]["stage_m"] is None
    assert found["stages"][0]["discharge_m3_s"] is None
    assert found["lines"][0]["floor_m"] is None
    assert found["lines"][0]["short_m"] == 7.4


@pytest.mark.parametrize("endless", [float("nan"), float("inf"), np.float64("-inf")])
def test_a_number_that_is_not_finite_is_refused_by_its_place(plan, endless):
    rig = replace(plan.chosen, limit=replace(plan.chosen.limit, float_seconds=endless))
    spoilt = replace(plan, rigs=(rig,), frame=replace(plan.frame, rise_m=endless))
    with pytest.raises(OutOfRange) as told:
        workings_json(spoilt)
    assert str(told.value) == (
        "the workings hold numbers that are not finite: OT-03.rise_m, OT-03.rigs[0].limit.float_seconds"
    )


def test_same_plan_same_bytes_and_one_text_in_utf8(hand_made, settings):
    plan = hand_made.crowded(settings.words)
    first, again = workings_json(plan), workings_json(hand_made.crowded(settings.words))
    assert first == again
    assert first.endswith(b"}\n")
    assert "Señora Ávila" in first.decode("utf-8")


def test_tension_and_clearance_places_give_their_values_back(computed):
    """The contract: `TrackLine` with the values of `tension_at` gives `tension_n` back, and so its height."""
    found = workings_object(computed)
    rig = found["rigs"][0]
    assert (rig["rig"], rig["chosen"]) == ("movable-control-point", True)
    hung_m = computed.frame.near_tie_height_m
    lowest = 0.30  # the ring and its hardware hang so far under the line (trade rules, agency's own figure)
    for stage in rig["stages"]:
        for case in stage["cases"]:
            tension = loaded(found, rig, case["tension_at"])
            assert tension.tension_n == pytest.approx(case["tension_n"], rel=1e-6)
            assert tension.along_n == pytest.approx(case["tension_at"]["load_n"][0], abs=0.5)
            clear = loaded(found, rig, case["clearance_at"])
            over_water_m = hung_m + float(clear.height_m) - lowest - stage["rise_m"]
            if case["clearance_part"] == "hardware":
                assert over_water_m == pytest.approx(case["clearance_m"], abs=1e-4)
            else:
                assert case["clearance_m"] < over_water_m


def loaded(found, rig, place):
    rope = Rope(
        strength_n=rig["rope"]["strength_n"],
        weight_n_m=rig["rope"]["weight_n_m"],
        stiffness_n=place["stiffness_n"],
    )
    track = TrackLine(
        span_m=found["span_m"],
        rise_m=found["rise_m"],
        rope=rope,
        pretension_n=place["pretension_n"],
        seating_m=place["seating_m"],
    )
    _, downstream_n, up_n = place["load_n"]
    return track.loaded(at_m=place["at_m"], downstream_n=downstream_n, down_n=-up_n)
