"""The limit level told by its gauge, with the floods about it."""

from dataclasses import replace

import pytest

from atlas.paper import Text
from atlas.records import FloodCategory, FloodLevel, GaugedSite, GaugeRecord
from atlas.sheets import layout
from atlas.sheets.limit_level import gauge_tellings, is_the_planned
from atlas.units import Figure, printed

FT = 0.3048
ACTION, MINOR = (
    FloodLevel(FloodCategory.ACTION, 8.5 * FT, None),
    FloodLevel(FloodCategory.MINOR, 10 * FT, None),
)


@pytest.fixture
def with_gauge(plans):
    """The plain plan with a limit level at a gauge, and floods where given."""

    def make(gauge="OT G3", stage_m=6.25 * FT, flood=()):
        plan = plans["plain"]
        gauged = GaugedSite(GaugeRecord("OT G3", None, None, None, (), flood), None) if flood else None
        access = replace(plan.site.access, gauge=gauge, gauged=gauged)
        rig = replace(plan.chosen, limit=replace(plan.chosen.limit, stage_m=stage_m))
        return replace(plan, site=replace(plan.site, access=access), rigs=(rig, *plan.rigs[1:]))

    return make


DOT = "\N{NO-BREAK SPACE}\N{MIDDLE DOT} "


def tellings(desk, stage_m=6.25 * FT):
    return gauge_tellings(desk, printed(Figure.LIMIT_STAGE, stage_m), stage_m)


def test_the_level_is_told_by_its_gauge(desk_of, with_gauge):
    # 6.25 ft is 1.905 m: down to a centimetre
    assert tellings(desk_of(with_gauge())) == (
        ("Gauge OT G3 at or above", f"1.90 m{DOT}outside plan"),
        ("Gauge OT G3 at or above", "outside plan"),
    )


@pytest.mark.parametrize(
    ("stage_ft", "flood"),
    [
        (6.25, "action flood 8.5 ft"),
        (8.5, "in action flood"),
        (9.2, "in action flood"),
        (12.0, "in minor flood"),
    ],
)
def test_where_it_lies_against_the_floods(desk_of, with_gauge, stage_ft, flood):
    plan = with_gauge(stage_m=stage_ft * FT, flood=(ACTION, MINOR))
    (_, fullest), *rest = tellings(desk_of(plan), stage_ft * FT)
    assert fullest.endswith(f"{DOT}outside plan{DOT}{flood}")
    assert [note for _, note in rest][-1] == "outside plan"


def test_above_and_not_at_where_it_is_the_level_planned_for(desk_of, with_gauge):
    """Seen no higher than planned for and inside plan there: the rig is outside plan above it, not at it."""
    planned_m = with_gauge().chosen.planning.stage_m
    just_over = desk_of(with_gauge(stage_m=planned_m + 1e-4))
    assert tellings(just_over, planned_m + 1e-4)[0][0] == "Gauge OT G3 above"
    assert is_the_planned(just_over, printed(Figure.LIMIT_STAGE, planned_m + 1e-4))
    assert not is_the_planned(just_over, printed(Figure.LIMIT_STAGE, planned_m + 0.1))


def test_without_a_gauge_nothing_is_told_by_it(desk_of, with_gauge):
    assert tellings(desk_of(with_gauge(gauge=None))) == ()


def stop_texts(plan, letter, words):
    return [
        item.text
        for item in layout(plan, letter, words).items
        if isinstance(item, Text) and item.block == "stop"
    ]


def test_the_sheet_says_gauge_level_and_outside_plan_as_one(with_gauge, letter, words):
    texts = stop_texts(with_gauge(flood=(ACTION, MINOR)), letter, words)
    at = texts.index("Gauge OT G3 at or above")
    # without the metres, for which there is no room
    assert texts[at : at + 4] == [
        "Gauge OT G3 at or above",
        "6.2",
        " ft",
        f"outside plan{DOT}action flood 8.5 ft",
    ]
    assert "Outside plan from level" not in texts


@pytest.mark.parametrize(
    "gauge", ["A gauge with a name that is far too long for its cell", "Gauge \U0001f30a"]
)
def test_a_name_that_cannot_be_set_there_leaves_the_plain_words(with_gauge, letter, words, gauge):
    texts = stop_texts(with_gauge(gauge=gauge), letter, words)
    assert "Outside plan from level" in texts
    assert "outside plan" not in texts
