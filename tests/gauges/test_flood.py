"""Flood categories, with the traps of their service."""

import pytest

from atlas.gauges.flood import read_flood
from atlas.gauges.numbers import LeftOut
from atlas.records import FloodCategory, FloodLevel

FT, CFS = 0.3048, 0.028316846592  # exact: NIST SP 811 (value from memory)


def answer(categories, **changes):
    flood = {"stageUnits": "ft", "flowUnits": "cfs", "categories": categories} | changes
    return {"lid": "ABCD1", "flood": flood}


def level(stage=-9999, flow=-9999):
    return {"stage": stage, "flow": flow}


def read(given):
    left_out = LeftOut()
    return read_flood(given, "ABCD1", left_out), left_out.told()


def test_stages_in_feet_and_flows_in_cubic_feet():
    found, told = read(answer({"minor": level(16, 9000), "action": level(15, 8000)}))
    assert told == ()
    assert [one.category for one in found] == [FloodCategory.ACTION, FloodCategory.MINOR]
    assert [one.stage_m for one in found] == pytest.approx([15 * FT, 16 * FT])
    assert [one.discharge_m3_s for one in found] == pytest.approx([8000 * CFS, 9000 * CFS])


def test_flows_in_thousands_where_the_service_says_so():
    found, told = read(answer({"action": level(flow=8.0)}, flowUnits="kcfs"))
    assert (told, found) == ((), (FloodLevel(FloodCategory.ACTION, None, pytest.approx(8000 * CFS)),))


@pytest.mark.parametrize("missing", [level(), level(-999, -999), level(None, None), None, "none", {}])
def test_a_category_that_is_missing(missing):
    found, told = read(answer({"action": level(15), "major": missing}))
    assert (told, [one.category for one in found]) == ((), [FloodCategory.ACTION])


@pytest.mark.parametrize(
    ("given", "told"),
    [
        (
            answer({"action": level(15), "minor": level(14)}),
            "flood categories that do not rise from action to major",
        ),
        (
            answer({"action": level(15, 900), "minor": level(16, 800)}),
            "flood categories that do not rise from action to major",
        ),
        ({"lid": "WXYZ9", "flood": {}}, "flood categories of another gauge (WXYZ9)"),
        (
            answer({"action": level("high")}),
            "stage of a flood category: text where a number belongs (high ft)",
        ),
        (answer({"action": level(15)}, stageUnits="fathoms"), "stage of a flood category: unit (15 fathoms)"),
        (answer({"action": level(15)}, stageUnits=None), "stage of a flood category: unit (15)"),
    ],
)
def test_categories_that_cannot_be_trusted(given, told):
    assert read(given) == ((), (f"1 left out: {told}",))


@pytest.mark.parametrize("given", [{"lid": "ABCD1"}, {"lid": "ABCD1", "flood": None}, answer([1, 2])])
def test_a_gauge_without_categories(given):
    assert read(given) == ((), ())


def test_the_real_answer(real_flood):
    # National Weather Service, gauge TRVN7 (public domain): action 15, minor 16, moderate 19, major 21 ft;
    # every flow is missing
    left_out = LeftOut()
    found = read_flood(real_flood, "TRVN7", left_out)
    assert left_out.told() == ()
    assert [one.category.value for one in found] == ["action", "minor", "moderate", "major"]
    assert [one.stage_m for one in found] == pytest.approx([15 * FT, 16 * FT, 19 * FT, 21 * FT])
    assert {one.discharge_m3_s for one in found} == {None}
