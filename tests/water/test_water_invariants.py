"""The river's figures in other units, from another zero, in another order: nothing but the units may change.

And their limits: a single law kept by all, a note on top of another, still water.
"""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from atlas.records import MeanKind
from atlas.water import (
    AskedWater,
    StageSettings,
    asked_row,
    drag_n,
    fit_power,
    fit_rating,
    interpolate_rating,
    river_model,
    river_state,
    stage_rows,
    surface_from_section_mean_m_s,
    surface_from_vertical_mean_m_s,
    water_density_kg_m3,
)
from atlas.water.line_fit import checked_logs, fit_line
from atlas.water.notes import seen_of

TIMES = st.floats(0.2, 5.0)
STAGE = np.array((0.6, 0.9, 1.3, 1.8, 2.6, 3.1, 3.9))
SCATTER = np.exp((0.05, -0.04, 0.02, -0.06, 0.03, 0.05, -0.04))
DISCHARGE = 8.0 * (STAGE - 0.2) ** 1.8 * SCATTER
WIDTH = 21.0 * DISCHARGE**0.12 * SCATTER[::-1]

# ---- drag and density


@given(TIMES, TIMES, st.floats(0.0, 3.0), st.floats(0.0, 5.0))
def test_drag_scales_with_area_and_density_and_is_nothing_in_still_water(larger, denser, area, speed):
    one = float(drag_n(area_cd_m2=area, speed_m_s=speed, density_kg_m3=1000.0))
    other = float(drag_n(area_cd_m2=larger * area, speed_m_s=speed, density_kg_m3=1000.0 * denser))
    assert other == pytest.approx(larger * denser * one)
    assert float(drag_n(area_cd_m2=area, speed_m_s=0.0, density_kg_m3=1000.0)) == 0.0
    assert float(drag_n(area_cd_m2=0.0, speed_m_s=speed, density_kg_m3=1000.0)) == 0.0


@given(st.floats(0.1, 3.0), st.floats(0.05, 3.0), st.floats(0.2, 4.0))
def test_two_bodies_side_by_side_are_pushed_as_both(one, other, speed):
    water = {"speed_m_s": speed, "density_kg_m3": 1000.0}
    both = drag_n(area_cd_m2=one + other, **water)
    assert both == pytest.approx(drag_n(area_cd_m2=one, **water) + drag_n(area_cd_m2=other, **water))


def test_density_changes_smoothly_about_its_greatest():
    """As a parabola about 4 C: as much less a degree under as over, to a tenth of that."""
    top = float(water_density_kg_m3(3.983035))
    under, over = (top - float(water_density_kg_m3(3.983035 + side)) for side in (-1.0, 1.0))
    assert under == pytest.approx(over, rel=0.1)
    assert 0.0 < over < 0.02


# ---- speeds


@given(TIMES, st.floats(0.1, 3.0), st.floats(0.3, 1.0))
def test_surface_speeds_scale_and_a_ratio_of_one_changes_nothing(times, mean, ratio):
    for convert in (surface_from_vertical_mean_m_s, surface_from_section_mean_m_s):
        assert convert(times * mean, ratio=ratio) == pytest.approx(times * convert(mean, ratio=ratio))
        assert convert(mean, ratio=1.0) == mean
        assert convert(ratio * mean, ratio=ratio) == pytest.approx(mean)


# ---- fits


@given(st.permutations(range(len(STAGE))), TIMES, TIMES)
def test_a_power_law_in_other_units_and_another_order(order, wider, more):
    """Value and discharge each in its own unit; the exponent has none."""
    some = list(order)
    here = fit_power(discharge_m3_s=DISCHARGE, value=WIDTH)
    there = fit_power(discharge_m3_s=more * DISCHARGE[some], value=wider * WIDTH[some])
    assert there.exponent == pytest.approx(here.exponent, rel=1e-9)
    found = np.array(there.predict(discharge_m3_s=more * 60.0))
    assert found == pytest.approx(wider * np.array(here.predict(discharge_m3_s=60.0)), rel=1e-9)


def test_rows_twice_over_are_the_same_law_more_surely_known():
    here = fit_power(discharge_m3_s=DISCHARGE, value=WIDTH)
    twice = fit_power(discharge_m3_s=np.tile(DISCHARGE, 2), value=np.tile(WIDTH, 2))
    assert (twice.exponent, twice.coefficient) == pytest.approx((here.exponent, here.coefficient))
    one, other = (fit.predict(discharge_m3_s=60.0) for fit in (here, twice))
    assert other[0] == pytest.approx(one[0])
    assert one[1] < other[1] < other[2] < one[2]


@settings(max_examples=30)
@given(TIMES, st.floats(0.5, 2.0), st.floats(-3.0, 50.0))
def test_a_rating_in_other_units_from_another_zero(more, higher, lift):
    """Discharge and stage each in its own unit, stage from another zero; rows in another order."""
    here = fit_rating(discharge_m3_s=DISCHARGE, stage_m=STAGE)
    there = fit_rating(discharge_m3_s=more * DISCHARGE[::-1], stage_m=higher * STAGE[::-1] + lift)
    # the offset is searched for, and its misfit is flat to a double's last digits
    assert there.exponent == pytest.approx(here.exponent, rel=1e-4)
    assert there.offset_m == pytest.approx(higher * here.offset_m + lift, abs=1e-4)
    found = np.array(there.discharge_m3_s(stage_m=higher * 2.2 + lift))
    assert found == pytest.approx(more * np.array(here.discharge_m3_s(stage_m=2.2)), rel=1e-4)
    stages = np.array(there.stage_m(discharge_m3_s=more * 30.0))
    assert stages == pytest.approx(higher * np.array(here.stage_m(discharge_m3_s=30.0)) + lift, abs=1e-4)


@given(TIMES, st.floats(0.5, 2.0), st.floats(-3.0, 50.0), st.floats(1.0, 4.0))
def test_an_interpolated_rating_in_other_units_from_another_zero(more, higher, lift, stage):
    points, discharge, offset = np.array((1.0, 2.0, 4.0)), np.array((3.0, 20.0, 150.0)), np.array((0.5, 0.7))
    here = interpolate_rating(
        stage, rating_stage_m=points, rating_discharge_m3_s=discharge, offset_m=offset, break_m=points[1:2]
    )
    moved = higher * points + lift
    there = interpolate_rating(
        np.clip(higher * stage + lift, moved[0], moved[-1]), rating_stage_m=moved,
        rating_discharge_m3_s=more * discharge, offset_m=higher * offset + lift, break_m=moved[1:2],
    )  # fmt: skip
    assert there == pytest.approx(more * here, rel=1e-6)


def test_a_line_through_its_own_points_and_logarithms_back():
    x, y = checked_logs("x", DISCHARGE), checked_logs("y", WIDTH)
    np.testing.assert_allclose(np.exp(x), DISCHARGE)
    line = fit_line(x, y)
    # moved and stretched, the line moves and stretches; the residual with y alone
    moved = fit_line(2.0 * x + 5.0, 3.0 * y - 1.0)
    assert moved.slope == pytest.approx(1.5 * line.slope)
    assert moved.residual == pytest.approx(3.0 * line.residual)
    assert moved.at(2.0 * x + 5.0) == pytest.approx(3.0 * line.at(x) - 1.0)
    assert moved.half_width(2.0 * x + 5.0, level=0.9) == pytest.approx(3.0 * line.half_width(x, level=0.9))
    # least squares leaves nothing that goes with x, and nothing on the whole
    rest = y - line.at(x)
    assert rest.sum() == pytest.approx(0.0, abs=1e-12)
    assert rest @ x == pytest.approx(0.0, abs=1e-12)
    exact = fit_line(x, 2.0 - 0.3 * x)
    assert (exact.slope, exact.intercept) == pytest.approx((-0.3, 2.0))
    assert exact.residual == pytest.approx(0.0, abs=1e-12)


# ---- the river between its notes

NOTES = ((1.0, 0.9, 30.0, 0.8), (1.3, 1.35, 31.0, 1.1), (1.7, 1.6, 33.0, 1.5), (2.2, 2.2, 34.0, 2.0))
SOME = {"one": NOTES[:1], "two": NOTES[1:3], "four": NOTES}
RISES = np.linspace(-0.3, 3.0, 67)


def modelled(access, note, notes, *, lengths=1.0, speeds=1.0, lift=0.0):
    made = [
        note(lengths * stage + lift, speeds * speed, width_m=lengths * width, depth_m=lengths * depth)
        for stage, speed, width, depth in notes
    ]
    said = access(*made, stage_m=lengths * 1.0 + lift)
    return river_model(said, width_m=lengths * 30.0, settings=StageSettings())


@pytest.mark.parametrize("name", SOME)
@pytest.mark.parametrize(("lengths", "speeds"), [(3.2808, 1.0), (1.0, 2.2369), (0.5, 0.5**0.5)])
def test_a_river_in_other_units_or_drawn_smaller_is_the_same_river(access, note, name, lengths, speeds):
    """Feet for metres, miles an hour for metres a second, and a model at Froude's scale."""
    here = river_state(modelled(access, note, SOME[name]), rise_m=RISES)
    model = modelled(access, note, SOME[name], lengths=lengths, speeds=speeds)
    there = river_state(model, rise_m=lengths * RISES)
    np.testing.assert_allclose(there.surface_speed_m_s, speeds * here.surface_speed_m_s, rtol=1e-9)
    np.testing.assert_allclose(there.design_speed_m_s, speeds * here.design_speed_m_s, rtol=1e-9)
    np.testing.assert_allclose(there.width_m, lengths * here.width_m, rtol=1e-9)


@pytest.mark.parametrize("name", SOME)
def test_notes_in_any_order_are_the_same_river(access, note, name):
    here = river_state(modelled(access, note, SOME[name]), rise_m=RISES)
    there = river_state(modelled(access, note, SOME[name][::-1]), rise_m=RISES)
    for one, other in (
        (here.design_speed_m_s, there.design_speed_m_s),
        (here.width_m, there.width_m),
        (here.surface_speed_m_s, there.surface_speed_m_s),
    ):
        np.testing.assert_allclose(other, one, rtol=1e-12)


@pytest.mark.parametrize("name", SOME)
@given(lift=st.floats(-20.0, 200.0))
def test_the_gauge_s_zero_is_nothing_to_the_river(access, note, name, lift):
    here = river_state(modelled(access, note, SOME[name]), rise_m=RISES)
    there = river_state(modelled(access, note, SOME[name], lift=lift), rise_m=RISES)
    np.testing.assert_allclose(there.design_speed_m_s, here.design_speed_m_s, rtol=1e-9)


def test_a_scaled_river_at_its_note_is_the_note(access, note):
    """The limit of no rise: its speed and width, and with the margin a design speed."""
    stage, speed, width, _ = NOTES[0]
    state = river_state(modelled(access, note, NOTES[:1]), rise_m=stage - 1.0)
    assert float(state.surface_speed_m_s) == pytest.approx(speed)
    assert float(state.width_m) == pytest.approx(width)
    assert float(state.design_speed_m_s) == pytest.approx(1.4 * speed)


@given(TIMES)
def test_noted_speeds_scale_with_what_was_noted(access, note, times):
    """Surface speeds, both kinds of mean, and the site's own ratio, which has no unit."""

    def seen(k):
        notes = (
            note(1.2, 2.0 * k, mean_speed_m_s=1.1 * k, mean_kind=MeanKind.SECTION),
            note(1.8, mean_speed_m_s=1.4 * k, mean_kind=MeanKind.SECTION),
            note(2.4, mean_speed_m_s=2.1 * k, mean_kind=MeanKind.VERTICAL),
        )
        return seen_of(access(*notes, stage_m=1.2), width_m=34.0, settings=StageSettings())[1]

    for one, other in zip(seen(1.0), seen(times), strict=True):
        assert other.surface_speed_m_s == pytest.approx(times * one.surface_speed_m_s)
        assert other.assumed == one.assumed


@given(TIMES, st.sampled_from(sorted(SOME)))
def test_the_level_table_scales_with_its_notes(access, note, times, name):
    """Speeds as many times as fast: every row so, with the same stages, codes and planning row."""

    def rows(k):
        made = [
            note(stage, k * speed, width_m=width, depth_m=depth) for stage, speed, width, depth in SOME[name]
        ]
        return stage_rows(access(*made, stage_m=1.0), width_m=30.0, settings=StageSettings())

    for one, other in zip(rows(1.0), rows(times), strict=True):
        assert other.design_speed_m_s == pytest.approx(times * one.design_speed_m_s)
        assert other.surface_speed_m_s == pytest.approx(times * one.surface_speed_m_s)
        assert (other.rise_m, other.width_m, other.planning) == (one.rise_m, one.width_m, one.planning)
        assert (other.name_code, other.assumed) == (one.name_code, one.assumed)


@given(TIMES, st.floats(1.0, 3.5), st.floats(-5.0, 50.0))
def test_today_s_water_scales_and_forgets_the_gauge_s_zero(access, note, times, stage, lift):
    def row(k, zero):
        made = [
            note(noted + zero, k * speed, width_m=width, depth_m=depth)
            for noted, speed, width, depth in NOTES
        ]
        said = access(*made, stage_m=1.0 + zero)
        rows = stage_rows(said, width_m=30.0, settings=StageSettings())
        asked = AskedWater(stage_m=stage + zero)
        return asked_row(said, rows, asked, width_m=30.0, settings=StageSettings())

    here = row(1.0, 0.0)
    faster = row(times, 0.0)
    assert faster.design_speed_m_s == pytest.approx(times * here.design_speed_m_s)
    assert faster.width_m == here.width_m
    there = row(1.0, lift)
    # two stages 5 mm apart or less are one: at the edge of that the digits of the zero may tell
    if abs(there.design_speed_m_s - here.design_speed_m_s) > 1e-6:
        apart = [abs(stage - noted) for noted, *_ in NOTES] + [abs(stage - 2.5), abs(stage - 2.8)]
        assert min(abs(gap - 0.005) for gap in apart) < 1e-6
    assert there.rise_m == pytest.approx(here.rise_m, abs=1e-9)
