"""A reading on a briefing: age, rise, minutes left, its place in the river's graph."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from atlas.briefs.reading import ReadingSaid, graph_pieces, reading_rows, reading_told
from atlas.paper import Box, Cell, Text
from atlas.paper.looks import looks_of
from atlas.paper.press import Press
from atlas.records import (
    FieldMeasurement,
    FlowNote,
    GaugedSite,
    GaugeReading,
    GaugeRecord,
    GaugeRelation,
    StageAt,
)
from atlas.settings import load_settings
from atlas.settings.page import read_page_template
from atlas.water import StageSettings, river_model

AT = datetime(2026, 11, 25, 16, 0, tzinfo=UTC)
LIMIT_M = 2.0
STAGES = (0.9, 1.1, 1.4, 1.8, 2.3, 2.9)


@pytest.fixture(scope="module")
def settings():
    return load_settings()


@pytest.fixture(scope="module")
def plan(hand_made, settings):
    """A plan with a limit stage of 2.0 m at its gauge."""
    made = hand_made.make_plan(settings.words)
    rig = replace(made.chosen, limit=replace(made.chosen.limit, stage_m=LIMIT_M))
    return replace(made, rigs=(rig,))


@pytest.fixture(scope="module")
def press(plan, settings):
    template = read_page_template(settings.template_path("sheet-letter.toml"))
    return Press(settings.words, template, looks_of(template), plan.county)


def said(stage=1.5, hours=(), *, age_min=10.0, taken=True, provisional=True):
    """A reading with stages before it, by hours; ten minutes old, five to clear the river."""
    trail = tuple(StageAt(AT - timedelta(hours=back), height) for back, height in hours)
    reading = GaugeReading("OT G1", AT, stage, None, provisional, (*trail, StageAt(AT, stage or 0.0)))
    return ReadingSaid(reading, age_min * 60.0, 300.0, taken)


@pytest.mark.parametrize(
    ("age_min", "told"),
    [
        (0.5, "1 min old"),
        (10.0, "10 min old"),
        (119.0, "119 min old"),
        # told no younger than it is
        (121.0, "3 h old"),
        (47.5 * 60.0, "48 h old"),
        (48.0 * 60.0, "2 days old"),
        (49.0 * 60.0, "3 days old"),
    ],
)
def test_how_old_it_is(press, age_min, told):
    text = reading_told(press, said(age_min=age_min, provisional=False))
    assert text == f"OT G1 at 2026-11-25 16:00 UTC, {told}"


def test_provisional_and_too_old_are_told(press):
    assert reading_told(press, said()).endswith("10 min old, provisional")
    assert reading_told(press, said(taken=False)) == (
        "; last reading of OT G1 at 2026-11-25 16:00 UTC, 10 min old: too old to be taken"
    )


def cells(rows):
    return [tuple(cell.text if isinstance(cell, Cell) else cell for cell in row) for row in rows]


def test_rise_and_minutes_left(press, plan):
    # 0.1 m an hour: 0.33 ft, told up; 0.5 m to go is 300 min, less 5 to clear and 10 of age
    rows = cells(reading_rows(press, plan, said(1.5, [(1.0, 1.4), (3.0, 1.25)])))
    assert rows == [
        ("Water rises", "", "0.4 ft an hour, the faster of the last hour and the last three"),
        ("Minutes left", "285 min", "until the river must begin to be cleared, if it rises on as it did"),
    ]


def test_minutes_left_are_rounded_down(press, plan):
    # 0.13 m an hour from 1.5 m: 0.5 / 0.13 h = 230.77 min, less 15
    rows = cells(reading_rows(press, plan, said(1.5, [(1.0, 1.37)])))
    assert rows[1][1] == "215 min"


@pytest.mark.parametrize(
    ("stage", "before"),
    [(1.99, 1.9), (2.4, 2.3), (1.98, 1.9)],
    ids=["minutes", "past it", "less than to clear"],
)
def test_no_time_left_is_now(press, plan, stage, before):
    assert cells(reading_rows(press, plan, said(stage, [(1.0, before)])))[1][1] == "now"


@pytest.mark.parametrize("before", [1.5, 1.499, 1.9])
def test_a_river_that_does_not_rise_leaves_no_minutes(press, plan, before):
    assert cells(reading_rows(press, plan, said(1.5, [(1.0, before)]))) == [("Water rises", "", "not rising")]


def test_without_readings_before_it_the_rise_is_unknown(press, plan, settings):
    unknown = settings.words("sheet.unknown")
    assert cells(reading_rows(press, plan, said(1.5))) == [("Water rises", "", unknown)]


def test_without_a_limit_stage_only_the_rise_is_told(press, plan):
    rig = replace(plan.chosen, limit=replace(plan.chosen.limit, stage_m=None))
    rows = reading_rows(press, replace(plan, rigs=(rig,)), said(1.5, [(1.0, 1.4)]))
    assert [row[0] for row in cells(rows)] == ["Water rises"]


@pytest.mark.parametrize("one", [None, said(taken=False)])
def test_no_reading_no_rows(press, plan, one):
    assert reading_rows(press, plan, one) == []


@pytest.fixture(scope="module")
def gauged(plan):
    """The plan with a gauge of a made river."""
    rows = []
    for stage in STAGES:
        flow = 12.0 * (stage - 0.4) ** 1.8
        fast = 0.3 * flow**0.4
        rows.append(FieldMeasurement(date(2020, 1, 1), stage, flow, 20.0, flow / fast, fast))
    record = GaugeRecord("OT G1", None, None, None, tuple(rows))
    note = FlowNote(date(2026, 5, 1), 1.4, False, None, 20.0, 0.9, None, None, None)
    access = replace(
        plan.site.access, stage_m=1.4, flow_notes=(note,),
        gauged=GaugedSite(record, GaugeRelation(plan.site.code, 1.0, same_section=True)),
    )  # fmt: skip
    river = river_model(access, width_m=plan.frame.width_m, settings=StageSettings())
    return replace(plan, site=replace(plan.site, access=access), river=river)


def names(pieces):
    box = Box(left_mm=20.0, top_mm=30.0, width_mm=186.0, height_mm=200.0)
    return [item.text for piece in pieces for item in piece.lay(box).items if isinstance(item, Text)]


def test_the_reading_stands_in_the_rivers_graph(press, gauged):
    told = names(graph_pieces(press, gauged, said(1.5)))
    assert "gauge now" in told
    # in the county's units: stages to 9.5 ft, threads of 2.06 m/s, 4.6 mph
    assert {"gauge stage, ft", "fastest thread, mph", "9", "4"} <= set(told)
    # a reading past everything measured lies on no graph
    assert "gauge now" not in names(graph_pieces(press, gauged, said(9.0)))


def test_no_graph_without_a_reading_or_a_gauge(press, plan, gauged):
    assert graph_pieces(press, gauged, None) == []
    assert graph_pieces(press, gauged, said(None)) == []
    assert graph_pieces(press, plan, said(1.5)) == []
