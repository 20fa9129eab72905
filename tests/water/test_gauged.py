"""The river from its gauge: exact laws come back, dirt is dropped and counted, intervals hold."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from atlas.records import FieldMeasurement, GaugedSite, GaugeRecord, GaugeRelation, MeanKind
from atlas.water import StageSettings, river_model, river_state, stage_rows
from atlas.water.gauge_rows import gauge_rows
from atlas.water.gauged import GaugedRiver, gauged_river

SETTINGS = StageSettings()
SAME = GaugeRelation("OT-01", 1.0, same_section=True)
NOISE = (1.1, 0.9, 1.05, 0.94, 1.08, 0.95, 1.0)
STAGES = np.array((0.9, 1.1, 1.4, 1.8, 2.3, 2.9, 3.6))
DAY = date(2020, 5, 1)


def flow_of(stage):
    return 12.0 * (stage - 0.4) ** 1.8


def measured(stage, flow=None, *, speed=1.0, width=1.0):
    """The made river: w = 18 Q^0.12, v = 0.3 Q^0.4, depth what is left over."""
    flow = flow_of(stage) if flow is None else flow
    wide, fast = 18.0 * flow**0.12 * width, 0.3 * flow**0.4 * speed
    return FieldMeasurement(DAY, stage, flow, wide, flow / fast, fast)


@pytest.fixture
def gauged_access(access, note):
    """An access feature with one note at 1.4 m and a gauge's measurements."""

    def make(measurements, *notes, relation=SAME, stage_m=1.4):
        given_notes = notes or (note(1.4, 0.9, width_m=22.0),)
        record = GaugeRecord("OT G1", None, None, None, tuple(measurements))
        return replace(access(*given_notes, stage_m=stage_m), gauged=GaugedSite(record, relation))

    return make


@pytest.fixture
def exact(gauged_access):
    return gauged_access([measured(stage) for stage in STAGES])


def test_an_exact_river_comes_back_at_any_stage(exact):
    river = gauged_river(exact, SETTINGS)
    stage = np.array((1.0, 2.0, 3.4))
    state = river.at(stage)
    flow = flow_of(stage)
    assert state.discharge_m3_s == pytest.approx(flow, rel=1e-5)
    # a section mean over policy's 0.65 is the fastest thread
    for found, middle in ((state.speed_m_s, 0.3 * flow**0.4 / 0.65), (state.width_m, 18.0 * flow**0.12)):
        assert found[0] == pytest.approx(middle, rel=1e-5)
        assert found[1] == pytest.approx(found[2], rel=1e-4)
    assert state.depth_m[0] == pytest.approx(flow**0.48 / (0.3 * 18.0), rel=1e-5)
    assert not state.beyond.any()
    assert (river.dropped, len(river.rows)) == (0, 7)


def test_width_depth_and_speed_carried_to_another_width_keep_the_flow(gauged_access):
    # continuity: whatever the ratio, width x depth x mean speed is the flow
    for ratio in (0.5, 0.8, 1.3, 2.0):
        relation = GaugeRelation("OT-01", ratio, same_section=False)
        found = gauge_rows(gauged_access([measured(2.0)]), relation, SETTINGS).rows[0]
        assert found.width_m * found.depth_m * found.speed_m_s * 0.65 == pytest.approx(found.discharge_m3_s)
        assert found.width_m == pytest.approx(ratio * measured(2.0).width_m)


def test_a_narrower_site_is_faster_and_deeper_than_its_gauge(gauged_access):
    narrow, same = (
        gauge_rows(
            gauged_access([measured(2.0)]), GaugeRelation("OT-01", ratio, same_section=False), SETTINGS
        ).rows[0]
        for ratio in (0.7, 1.0)
    )
    # Manning, wide section: v as w^(-2/5), d as w^(-3/5)
    assert narrow.speed_m_s / same.speed_m_s == pytest.approx(0.7**-0.4)
    assert narrow.depth_m / same.depth_m == pytest.approx(0.7**-0.6)


def dirt(by):
    good = measured(2.0)
    return FieldMeasurement(
        DAY, 2.0, good.discharge_m3_s, good.width_m, good.area_m2, good.mean_speed_m_s * by
    )


@pytest.mark.parametrize(("by", "dropped"), [(0.94, 1), (0.96, 0), (1.04, 0), (1.06, 1), (1.51, 1)])
def test_a_row_whose_flow_is_not_width_depth_and_speed_is_dropped_and_counted(gauged_access, by, dropped):
    river = gauged_river(gauged_access([*(measured(stage) for stage in STAGES), dirt(by)]), SETTINGS)
    assert (river.dropped, len(river.rows)) == (dropped, 8 - dropped)


def test_a_note_that_contradicts_itself_is_dropped_from_the_fits_and_still_seen(gauged_access, note):
    bad = note(
        2.6, mean_speed_m_s=2.0, mean_kind=MeanKind.SECTION, discharge_m3_s=40.0, width_m=25.0, depth_m=1.2
    )
    access = gauged_access([measured(stage) for stage in STAGES], bad)
    river = gauged_river(access, SETTINGS)
    assert (river.dropped, any(row.noted for row in river.rows)) == (1, False)
    model = river_model(access, width_m=22.0, settings=SETTINGS)
    # 2.0 / 0.65 m/s was seen at a rise of 1.2 m: nothing there or above is taken as slower
    assert river_state(model, rise_m=1.3).design_speed_m_s >= 2.0 / 0.65


def test_notes_with_a_flow_and_measurements_are_fitted_together(gauged_access, note):
    notes = [
        note(stage, 0.5 * flow_of(stage) ** 0.4, discharge_m3_s=flow_of(stage), width_m=25.0)
        for stage in (1.5, 2.5)
    ]
    river = gauged_river(gauged_access([measured(stage) for stage in STAGES], *notes), SETTINGS)
    assert [row.noted for row in river.rows] == [False] * 7 + [True] * 2
    rows = np.array([(row.discharge_m3_s, row.speed_m_s) for row in river.rows])
    # by another hand: a straight line through all nine logarithms
    slope, intercept = np.polyfit(np.log(rows[:, 0]), np.log(rows[:, 1]), 1)
    assert (river.speed.exponent, river.speed.coefficient) == pytest.approx((slope, np.exp(intercept)))


def test_the_sites_own_ratio_turns_section_means_into_threads(gauged_access, note):
    own = note(1.4, 1.0, mean_speed_m_s=0.5, mean_kind=MeanKind.SECTION, width_m=22.0)
    river = gauged_river(gauged_access([measured(stage) for stage in STAGES], own), SETTINGS)
    assert river.rows[0].speed_m_s == pytest.approx(measured(STAGES[0]).mean_speed_m_s / 0.5)


def test_modelled_rows_take_the_upper_end_and_are_said_to_be_the_gauges(gauged_access):
    scattered = [
        measured(stage, speed=by, width=2.0 - by)
        for stage, by in zip(STAGES, (1.1, 0.9, 1.05, 0.94, 1.08, 0.95, 1.0), strict=True)
    ]
    access = gauged_access(scattered)
    river = gauged_river(access, SETTINGS)
    rows = stage_rows(access, width_m=22.0, settings=SETTINGS)
    modelled = [row for row in rows if row.modelled]
    assert len(modelled) == 2
    for row in modelled:
        state = river.at(row.stage_m)
        assert row.design_speed_m_s == pytest.approx(float(state.speed_m_s[2]))
        assert row.surface_speed_m_s == pytest.approx(float(state.speed_m_s[0]))
        assert row.discharge_m3_s == pytest.approx(float(state.discharge_m3_s))
        assert row.width_m == pytest.approx(float(state.width_m[0]))
        assert (row.assumed, row.beyond_survey) == (("from_gauge",), False)


def test_a_noted_row_is_no_slower_than_the_gauges_upper_end(gauged_access, note):
    scattered = [measured(stage, speed=by) for stage, by in zip(STAGES, NOISE, strict=True)]
    slow, fast = note(1.4, 0.5, width_m=22.0), note(2.3, 4.0, width_m=23.0)
    access = gauged_access(scattered, slow, fast)
    river = gauged_river(access, SETTINGS)
    low, high = (row for row in stage_rows(access, width_m=22.0, settings=SETTINGS) if not row.modelled)
    assert (low.surface_speed_m_s, high.surface_speed_m_s) == (0.5, 4.0)
    assert low.design_speed_m_s == pytest.approx(float(river.at(1.4).speed_m_s[2]))
    assert low.assumed == ("raised_to_gauge",)
    # what was seen faster than the measurements say stands
    assert (high.design_speed_m_s, high.assumed) == (4.0, ())


def test_beyond_the_measured_flows_a_row_is_marked_and_the_width_takes_its_upper_end(gauged_access):
    scattered = [
        measured(stage, width=by)
        for stage, by in zip(STAGES, (1.1, 0.9, 1.05, 0.94, 1.08, 0.95, 1.0), strict=True)
    ]
    access = gauged_access(scattered)
    model = river_model(access, width_m=22.0, settings=SETTINGS)
    inside, past = (river_state(model, rise_m=stage - 1.4) for stage in (3.5, 3.8))
    low = river_state(model, rise_m=0.85 - 1.4)
    assert (bool(inside.beyond_survey), bool(past.beyond_survey), bool(low.beyond_survey)) == (
        False,
        True,
        True,
    )
    middle, _, high = model.gauged.at(3.8).width_m
    assert float(past.width_m) == pytest.approx(float(high))
    assert float(high) > 1.02 * float(middle)
    assert float(inside.width_m) == pytest.approx(float(model.gauged.at(3.5).width_m[0]))


def test_below_the_lowest_measured_stage_the_river_is_taken_as_there(exact):
    river = gauged_river(exact, SETTINGS)
    lowest, dry = river.at(0.9), river.at(-5.0)
    assert float(dry.speed_m_s[2]) == float(lowest.speed_m_s[2])
    assert bool(dry.beyond)


def test_no_row_is_slower_or_narrower_than_what_was_seen_below(gauged_access, note):
    access = gauged_access([measured(stage) for stage in STAGES], note(1.4, 3.0, width_m=40.0))
    model = river_model(access, width_m=40.0, settings=SETTINGS)
    state = river_state(model, rise_m=np.array((0.1, 0.5)))
    assert np.all(state.design_speed_m_s == 3.0)
    assert np.all(state.width_m == 40.0)
    assert state.raised.all()


@pytest.mark.parametrize(
    ("measurements", "relation", "code"),
    [
        ([measured(stage) for stage in STAGES], None, "gauge_unrelated"),
        ([measured(stage) for stage in STAGES[:4]], SAME, "gauge_few_rows"),
        ([measured(2.0)] * 6, SAME, "gauge_no_rating"),
        ([measured(stage, flow_of(4.5 - stage)) for stage in STAGES], SAME, "gauge_no_rating"),
        (
            [FieldMeasurement(DAY, None, *_) for _ in [(10.0 + i, 20.0, 10.0 + i, 1.0) for i in range(6)]],
            SAME,
            "gauge_no_rating",
        ),
        (
            [measured(s, speed=b) for s, b in zip(STAGES, (2.0, 0.5, 2.0, 0.5, 1.5, 0.4, 0.7), strict=True)],
            SAME,
            "gauge_scattered",
        ),
    ],
)
def test_without_fits_the_notes_stand_as_they_did_and_it_is_said_why(
    gauged_access, access, note, measurements, relation, code
):
    spoiled = gauged_access(measurements, relation=relation)
    assert gauged_river(spoiled, SETTINGS) == code
    here = river_model(spoiled, width_m=22.0, settings=SETTINGS)
    there = river_model(access(note(1.4, 0.9, width_m=22.0), stage_m=1.4), width_m=22.0, settings=SETTINGS)
    assert here.assumed == (*there.assumed, code)
    rises = np.linspace(-0.5, 2.0, 26)
    assert np.array_equal(
        river_state(here, rise_m=rises).design_speed_m_s, river_state(there, rise_m=rises).design_speed_m_s
    )


def test_a_site_without_gauge_has_no_fits(access, note):
    assert gauged_river(access(note(1.4, 0.9), stage_m=1.4), SETTINGS) is None


def test_a_site_that_knows_no_stage_has_no_use_for_its_gauge(gauged_access, note):
    access = gauged_access([measured(stage) for stage in STAGES], note(None, 0.9), stage_m=None)
    model = river_model(access, width_m=22.0, settings=SETTINGS)
    assert (model.datum_stage_m, model.gauged) == (None, None)


@given(speed=st.floats(0.5, 2.0), width=st.floats(0.5, 2.0))
def test_units_scale_through(access, note, speed, width):
    def river(by_speed, by_width):
        rows = [measured(stage, speed=by_speed, width=by_width) for stage in STAGES]
        record = GaugeRecord("OT G1", None, None, None, tuple(rows))
        made = replace(access(note(1.4, 0.9), stage_m=1.4), gauged=GaugedSite(record, SAME))
        return gauged_river(made, SETTINGS)

    one, other = river(1.0, 1.0).at(2.2), river(speed, width).at(2.2)
    assert float(other.speed_m_s[0]) == pytest.approx(speed * float(one.speed_m_s[0]))
    assert float(other.width_m[0]) == pytest.approx(width * float(one.width_m[0]))


def test_the_interval_at_a_stage_holds_as_often_as_it_says(gauged_access):
    # what a crew asks: stage read, how fast? Scatter of flow at a stage 8 %, of speed at a flow 12 %
    random = np.random.default_rng(20261125)
    hits = []
    for _ in range(400):
        stages = random.uniform(0.9, 3.6, 15)
        rows = [
            measured(
                stage,
                flow_of(stage) * np.exp(random.normal(0.0, 0.08)),
                speed=np.exp(random.normal(0.0, 0.12)),
            )
            for stage in stages
        ]
        river = gauged_river(gauged_access(rows), SETTINGS)
        assert isinstance(river, GaugedRiver)
        asked = random.uniform(1.0, 3.4)
        flow = flow_of(asked) * np.exp(random.normal(0.0, 0.08))
        seen = 0.3 * flow**0.4 * np.exp(random.normal(0.0, 0.12)) / 0.65
        _, low, high = river.at(asked).speed_m_s
        hits.append(low <= seen <= high)
    # 90 % promised, 400 draws: standard error 1.5 %; three
    assert np.mean(hits) == pytest.approx(0.9, abs=0.045)
