import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from atlas.water import StageSettings, fit_power, river_model, river_state

RISES = np.linspace(-0.5, 4.0, 451)


def model_of(access, *notes, stage_m=1.0, width_m=30.0, **changed):
    return river_model(access(*notes, stage_m=stage_m), width_m=width_m, settings=StageSettings(**changed))


@given(
    rise=st.floats(0.0, 3.0),
    speed=st.floats(0.2, 4.0),
    depth=st.floats(0.5, 3.0),
    width=st.floats(8.0, 90.0),
)
def test_one_note_is_scaled_by_the_at_a_station_exponents(access, note, rise, speed, depth, width):
    model = model_of(access, note(1.0, speed, depth_m=depth, width_m=width))
    state = river_state(model, rise_m=rise)
    # the discharge that gives this depth gives the others: Q = (d / d0)^(1 / 0.40)
    times = ((depth + rise) / depth) ** 2.5
    assert state.surface_speed_m_s == pytest.approx(speed * times**0.34)
    assert state.width_m == pytest.approx(width * times**0.26)
    assert state.design_speed_m_s == pytest.approx(1.4 * speed * times**0.34)


def test_without_a_depth_the_width_gives_it(access, note):
    model = model_of(access, note(1.0, 2.0), width_m=30.0)
    assert model.datum_depth_m == pytest.approx(30.0 / 20.0)
    assert model.assumed == ("scaled_from_highest_note", "depth_assumed")
    assert model_of(access, note(1.0, 2.0), width_to_depth=15.0).datum_depth_m == pytest.approx(2.0)


@pytest.mark.parametrize(
    ("depth_m", "datum_depth_m", "codes"),
    [
        # 1.2 m at a rise of 1.0 leaves 0.2 m at the lowest note: as noted
        (1.2, 0.2, ()),
        # 1.0 m leaves none, 1.04 m less than a twentieth: the lowest note's width of 28 m gives 1.4 m
        (1.0, 1.4, ("depth_assumed",)),
        (1.04, 1.4, ("depth_assumed",)),
    ],
)
def test_a_noted_depth_must_leave_the_lowest_note_wet(access, note, depth_m, datum_depth_m, codes):
    model = model_of(access, note(1.0, 1.0, width_m=28.0), note(2.0, 2.0, depth_m=depth_m, width_m=32.0))
    assert model.datum_depth_m == pytest.approx(datum_depth_m)
    assert model.assumed == ("scaled_from_highest_note", *codes)


def test_a_curve_through_notes_without_depth_starts_from_the_lowest_width(access, note):
    notes = [note(stage, speed, width_m=28.0) for stage, speed in ((1.5, 1.0), (2.5, 1.5), (3.5, 1.9))]
    # 28 m / 20 = 1.4 m at a rise of 0.5
    assert model_of(access, *notes).datum_depth_m == pytest.approx(0.9)


def test_the_highest_of_two_notes_is_scaled(access, note):
    model = model_of(access, note(1.0, 1.0, depth_m=1.0), note(1.6, 2.0, depth_m=1.5))
    state = river_state(model, rise_m=0.9)
    # 1.5 m at a rise of 0.6 is 1.8 m at 0.9
    assert state.surface_speed_m_s == pytest.approx(2.0 * (1.8 / 1.5) ** 0.85)
    assert state.design_speed_m_s == pytest.approx(1.4 * 2.0 * (1.8 / 1.5) ** 0.85)


def test_a_highest_note_without_a_width_is_as_wide_as_the_widest_below(access, note):
    model = model_of(access, note(1.0, 1.0, width_m=31.0), note(2.0, 2.0, depth_m=1.8), width_m=30.0)
    # 1.8 m at a rise of 1.0, 31 m wide there; 2.4 m at 1.6
    assert river_state(model, rise_m=1.0).width_m == pytest.approx(31.0)
    assert river_state(model, rise_m=1.6).width_m == pytest.approx(31.0 * (2.4 / 1.8) ** 0.65)


DEPTHS = np.array((0.8, 1.1, 1.5, 2.0))
SPEEDS = np.array((0.9, 1.35, 1.6, 2.2))


def four_notes(note):
    return [
        note(1.0 + depth - 0.8, speed, depth_m=depth) for depth, speed in zip(DEPTHS, SPEEDS, strict=True)
    ]


def test_four_notes_are_fitted_and_the_upper_end_taken(access, note):
    model = model_of(access, *four_notes(note))
    assert model.assumed == ()
    state = river_state(model, rise_m=1.8)
    # the same law by another library, and its interval written out
    x, y = np.log(DEPTHS), np.log(SPEEDS)
    line = stats.linregress(x, y)
    at = np.log(2.6)
    rest = y - line.intercept - line.slope * x
    spread = ((x - x.mean()) ** 2).sum()
    half = (
        stats.t.ppf(0.95, 2)
        * np.sqrt((rest**2).sum() / 2)
        * np.sqrt(1.0 + 0.25 + (at - x.mean()) ** 2 / spread)
    )
    assert state.surface_speed_m_s == pytest.approx(np.exp(line.intercept + line.slope * at))
    assert state.design_speed_m_s == pytest.approx(np.exp(line.intercept + line.slope * at + half))


def test_a_law_kept_by_all_notes_comes_back(access, note):
    notes = [note(1.0 + depth - 0.8, 1.2 * depth**0.7, width_m=25.0 * depth**0.3) for depth in DEPTHS]
    notes[-1] = note(1.0 + 2.0 - 0.8, 1.2 * 2.0**0.7, width_m=25.0 * 2.0**0.3, depth_m=2.0)
    state = river_state(model_of(access, *notes, width_m=25.0 * 0.8**0.3), rise_m=[-0.2, 0.5, 3.0])
    depth = np.array((0.6, 1.3, 3.8))
    assert state.surface_speed_m_s == pytest.approx(1.2 * depth**0.7)
    assert state.design_speed_m_s[2] == pytest.approx(1.2 * 3.8**0.7)
    assert state.width_m[2] == pytest.approx(25.0 * 3.8**0.3)


def test_more_sure_settings_ask_for_less(access, note):
    low = river_state(model_of(access, *four_notes(note), level=0.5), rise_m=1.8)
    high = river_state(model_of(access, *four_notes(note), level=0.9), rise_m=1.8)
    assert low.surface_speed_m_s == high.surface_speed_m_s
    assert low.design_speed_m_s < high.design_speed_m_s


@pytest.mark.parametrize(
    "speeds",
    [
        (1.0, 2.8, 2.0, 2.5),  # one out of line
        (2.5, 2.0, 1.5, 1.0),  # falling with stage
        (1.0, 1.5, 0.0, 2.0),  # still water noted
    ],
)
def test_notes_that_do_not_surely_rise_are_scaled_from_the_highest(access, note, speeds):
    notes = [
        note(1.0 + depth - 0.8, speed, depth_m=depth) for depth, speed in zip(DEPTHS, speeds, strict=True)
    ]
    model = model_of(access, *notes)
    assert model.assumed == ("scaled_from_highest_note", "notes_scattered")
    state = river_state(model, rise_m=1.8)
    assert state.surface_speed_m_s == pytest.approx(speeds[-1] * (2.6 / 2.0) ** 0.85)
    assert state.design_speed_m_s == pytest.approx(max(1.4 * speeds[-1] * (2.6 / 2.0) ** 0.85, *speeds))


def test_stages_within_a_tenth_of_the_depth_carry_no_curve(access, note):
    notes = [note(stage, speed, depth_m=1.5) for stage, speed in ((1.0, 1.0), (1.02, 1.3), (1.05, 1.7))]
    assert "notes_scattered" in model_of(access, *notes).assumed


CASES = {
    "one": [(1.0, 1.5, None)],
    "one above": [(2.4, 1.5, 34.0)],
    "two": [(1.0, 1.2, 30.0), (1.8, 2.0, 36.0)],
    "two, lower one faster": [(1.0, 2.4, 30.0), (1.8, 2.0, 28.0)],
    "four": [(1.0, 0.9, 30.0), (1.3, 1.35, 31.0), (1.7, 1.6, 33.0), (2.2, 2.2, 34.0)],
    "scattered": [(1.0, 1.0, 30.0), (1.2, 2.8, 33.0), (1.8, 2.0, 31.0), (2.2, 2.5, 39.0)],
}


@pytest.mark.parametrize("name", CASES)
def test_never_below_what_was_seen_at_this_or_lower_water(access, note, name):
    notes = [note(stage, speed, width_m=width) for stage, speed, width in CASES[name]]
    state = river_state(model_of(access, *notes), rise_m=RISES)
    for stage, speed, width in CASES[name]:
        above = stage - 1.0 <= RISES
        assert np.all(state.design_speed_m_s[above] >= speed - 1e-12)
        assert np.all(state.width_m[above] >= (width or 0.0) - 1e-12)


@pytest.mark.parametrize("name", CASES)
def test_speed_and_width_rise_with_the_water_without_a_jump(access, note, name):
    notes = [note(stage, speed, width_m=width) for stage, speed, width in CASES[name]]
    state = river_state(model_of(access, *notes), rise_m=RISES)
    for values in (state.design_speed_m_s, state.width_m, state.surface_speed_m_s):
        assert np.all(np.isfinite(values))
        assert np.all(values > 0.0)
        steps = np.diff(values)
        assert np.all(steps >= -1e-12)
        # a rise of 1 cm, in water of 8 cm and more: an eighth more depth is a ninth more speed
        assert np.all(steps <= 0.12 * values[1:])


def test_raised_says_where_the_model_fell_short(access, note):
    model = model_of(access, note(1.0, 4.0, depth_m=1.0), note(1.5, 2.0, depth_m=1.5))
    state = river_state(model, rise_m=[0.6, 3.0])
    assert state.raised.tolist() == [True, False]
    assert state.design_speed_m_s[0] == 4.0


def test_lower_water_is_taken_as_fast_and_wide_as_the_lowest_seen(access, note):
    model = model_of(access, *four_notes(note))
    state = river_state(model, rise_m=-0.3)
    assert state.surface_speed_m_s < SPEEDS[0]
    assert state.design_speed_m_s >= SPEEDS[0]
    assert state.width_m == 30.0


def test_beyond_survey_is_outside_the_noted_stages(access, note):
    model = model_of(access, note(1.2, 1.2), note(1.8, 2.0))
    state = river_state(model, rise_m=[0.1, 0.2, 0.5, 0.8, 0.81])
    assert state.beyond_survey.tolist() == [True, False, False, False, True]


def test_a_scaled_state_is_a_straight_line_on_logarithms(access, note):
    model = model_of(access, note(1.0, 2.0, depth_m=1.2))
    rise = np.linspace(0.0, 3.0, 30)
    fit = fit_power(discharge_m3_s=rise + 1.2, value=river_state(model, rise_m=rise).surface_speed_m_s)
    assert fit.exponent == pytest.approx(0.85)
    assert fit.line.residual == pytest.approx(0.0, abs=1e-12)


def test_shapes_are_kept(access, note):
    state = river_state(model_of(access, note(1.0, 2.0)), rise_m=np.zeros((2, 3)))
    shapes = {
        part.shape
        for part in (state.surface_speed_m_s, state.design_speed_m_s, state.width_m, state.beyond_survey)
    }
    assert shapes == {(2, 3)}
