"""The track line's face: reference values, shapes, what it refuses and with which words."""

import re
from dataclasses import replace

import numpy as np
import pytest

from atlas.faults import NoSolution, OutOfRange
from atlas.rigging import Rope, TrackLine, settle
from atlas.rigging.balance import Batch
from atlas.rigging.trackline import solve_states, unloaded_height_m

ROPE = Rope(strength_n=40e3, weight_n_m=0.75, stiffness_n=1.0e5)
TRACK = TrackLine(span_m=40.0, rise_m=0.5, rope=ROPE, pretension_n=2000.0)
STATE = {
    "span_m": 40.0,
    "rise_m": 0.5,
    "unstretched_m": 39.21904,
    "weight_n_m": 0.75,
    "stiffness_n": 1e5,
    "at_m": 8.0,
    "downstream_n": 2800.0,
    "down_n": 200.0,
}


def test_reference_values():
    """Two independent solvers agree on these; printed to the digits compared here."""
    state = TRACK.loaded(at_m=[8.0, 20.0, 32.0], downstream_n=2800.0, down_n=200.0)
    np.testing.assert_allclose(state.tension_n, [4967.92, 5497.72, 4969.71], rtol=0, atol=0.006)
    np.testing.assert_allclose(state.downstream_m, [3.93761, 5.26799, 3.93871], rtol=0, atol=6e-6)
    np.testing.assert_allclose(state.height_m, [-0.19361, -0.15401, 0.08956], rtol=0, atol=6e-6)
    np.testing.assert_allclose(state.along_n, [-473.55, 2.34, 478.38], rtol=0, atol=0.006)
    assert float(TRACK.unstretched_m) == pytest.approx(39.21904, abs=6e-6)


def test_one_number_gives_one_number():
    state = TRACK.loaded(at_m=8.0, downstream_n=2800.0, down_n=200.0)
    assert state.tension_n.shape == ()
    assert float(state.tension_n) == pytest.approx(4967.92, abs=0.006)


def test_no_places_give_no_states():
    state = TRACK.loaded(at_m=[], downstream_n=2800.0, down_n=200.0)
    assert state.tension_n.shape == (0,)


def test_a_batch_of_sites_equals_its_sites_one_by_one():
    span = np.array([12.0, 40.0, 95.0])[:, None, None, None]
    rise = np.array([-0.5, 0.5, 2.0])[:, None, None, None]
    pretension = np.array([800.0, 2500.0])[:, None, None]
    stiffness = np.array([75e3, 133e3])[:, None]
    share = np.array([0.1, 0.5, 0.9])
    track = TrackLine(
        span_m=span,
        rise_m=rise,
        rope=replace(ROPE, stiffness_n=stiffness),
        pretension_n=pretension,
        seating_m=0.15,
    )
    whole = track.loaded(at_m=share * span, downstream_n=1500.0, down_n=120.0)
    assert whole.tension_n.shape == (3, 2, 2, 3)
    for index in np.ndindex(3, 2, 2, 3):
        one = TrackLine(
            span_m=float(span[index[0], 0, 0, 0]),
            rise_m=float(rise[index[0], 0, 0, 0]),
            rope=replace(ROPE, stiffness_n=float(stiffness[index[2], 0])),
            pretension_n=float(pretension[index[1], 0, 0]),
            seating_m=0.15,
        ).loaded(at_m=share[index[3]] * span[index[0], 0, 0, 0], downstream_n=1500.0, down_n=120.0)
        assert float(one.tension_n) == pytest.approx(float(whole.tension_n[index]), rel=1e-12)
        assert float(one.near_pull.up_n) == pytest.approx(float(whole.near_pull.up_n[index]), rel=1e-9)


def test_states_beyond_one_chunk_are_those_of_a_small_call():
    places = np.linspace(1.0, 39.0, 20_001)
    many = TRACK.loaded(at_m=places, downstream_n=2800.0, down_n=200.0)
    few = TRACK.loaded(at_m=places[::4000], downstream_n=2800.0, down_n=200.0)
    np.testing.assert_allclose(many.tension_n[::4000], few.tension_n, rtol=1e-13)
    np.testing.assert_allclose(many.far_pull.up_n[::4000], few.far_pull.up_n, rtol=1e-12)


def test_seating_is_rope_let_in_after_the_pretension():
    seated = replace(TRACK, seating_m=0.15)
    assert float(seated.unstretched_m - TRACK.unstretched_m) == pytest.approx(0.15, abs=1e-13)
    before = TRACK.loaded(at_m=20.0, downstream_n=2800.0, down_n=200.0)
    after = seated.loaded(at_m=20.0, downstream_n=2800.0, down_n=200.0)
    assert after.tension_n < before.tension_n
    assert after.downstream_m > before.downstream_m


def test_the_empty_line_passes_through_its_tie_points_and_sags_between():
    heights = TRACK.unloaded_height_m([0.0, 10.0, 20.0, 30.0, 40.0])
    assert heights[0] == pytest.approx(0.0, abs=1e-12)
    assert heights[-1] == pytest.approx(0.5, abs=1e-11)
    # parabola: w X (S - X) / (2 H) under the chord, the weight a little thinner for the stretch of 2 %
    sag = 0.5 * np.array([0.25, 0.5, 0.75]) - heights[1:-1]
    parabola = 0.75 * np.array([300.0, 400.0, 300.0]) / (2 * 2000.0)
    np.testing.assert_allclose(sag, parabola * 39.21904 / 40.0, rtol=1e-4)


def test_the_empty_line_is_where_a_carriage_of_no_weight_would_ride():
    seated = replace(TRACK, seating_m=0.15)
    places = np.array([4.0, 20.0, 33.0])
    one = np.ones(1)
    rows = settle.settle(
        Batch(
            40.0 * one,
            0.5 * one,
            seated.unstretched_m * one,
            0.75 * one,
            1e5 * one,
            places,
            0.0 * one,
            1e-6 * one,
        )
    )
    np.testing.assert_allclose(rows[settle.Row.HEIGHT], seated.unloaded_height_m(places), rtol=0, atol=1e-8)


def test_heights_of_a_batch_of_empty_lines():
    pretension = np.array([800.0, 2000.0])[:, None]
    lines = replace(TRACK, pretension_n=pretension)
    heights = lines.unloaded_height_m([10.0, 20.0])
    assert heights.shape == (2, 2)
    np.testing.assert_allclose(heights[1], TRACK.unloaded_height_m([10.0, 20.0]), rtol=1e-12)


def test_loaded_shape_runs_from_tie_point_over_the_carriage_to_tie_point():
    state = TRACK.loaded(at_m=[8.0, 32.0], downstream_n=2800.0, down_n=200.0)
    shape = TRACK.loaded_shape(state, points_a_side=6)
    assert shape.at_m.shape == (2, 11)
    np.testing.assert_allclose(shape.at_m[:, [0, 5, 10]], [[0, 8, 40], [0, 32, 40]], rtol=0, atol=1e-9)
    np.testing.assert_allclose(shape.height_m[:, 5], state.height_m, rtol=0, atol=1e-9)
    np.testing.assert_allclose(shape.height_m[:, [0, 10]], [[0, 0.5], [0, 0.5]], rtol=0, atol=1e-9)
    np.testing.assert_allclose(shape.downstream_m[:, 5], state.downstream_m, rtol=0, atol=1e-9)
    np.testing.assert_allclose(shape.downstream_m[:, [0, 10]], 0.0, rtol=0, atol=1e-9)
    assert (np.diff(shape.at_m, axis=-1) > 0).all()


@pytest.mark.parametrize(
    ("changed", "text"),
    [
        ({"span_m": 9.0}, "span_m: {out}; got 9 m; allowed 10 to 250 m"),
        ({"span_m": np.inf}, "span_m: {out}; got inf m; allowed 10 to 250 m"),
        ({"span_m": -40.0}, "span_m: {out}; got -40 m; allowed 10 to 250 m"),
        ({"rise_m": 6.5}, "rise_m: {out}; got 6.5 m; allowed -6 to 6 m (15 % of the span)"),
        ({"rise_m": np.nan}, "rise_m: {out}; got nan m; allowed -6 to 6 m (15 % of the span)"),
        (
            {"unstretched_m": 36.0},
            (
                "unstretched_m: {out}; got 36 m; "
                "allowed 36.9849 to 40.5211 m (lengths of the pretensions and seatings shown)"
            ),
        ),
        ({"weight_n_m": 2.5}, "weight_n_m: {out}; got 2.5 N/m; allowed 0.5 to 2 N/m"),
        ({"weight_n_m": 0.0}, "weight_n_m: {out}; got 0 N/m; allowed 0.5 to 2 N/m"),
        ({"stiffness_n": 1e6}, "stiffness_n: {out}; got 1e+06 N; allowed 15000 to 800000 N"),
        ({"at_m": 0.5}, "at_m: {out}; got 0.5 m; allowed 0.8 to 39.2 m (2 to 98 % of the span)"),
        ({"at_m": 40.0}, "at_m: {out}; got 40 m; allowed 0.8 to 39.2 m (2 to 98 % of the span)"),
        ({"at_m": [8.0, np.nan]}, "at_m: {out}; got nan m; allowed 0.8 to 39.2 m (2 to 98 % of the span)"),
        (
            {"downstream_n": 26e3},
            "resultant of downstream_n and down_n: {out}; got 26000.8 N; allowed 0 to 25000 N",
        ),
        (
            {"down_n": np.nan},
            "resultant of downstream_n and down_n: {out}; got nan N; allowed 0 to 25000 N",
        ),
        ({"downstream_n": "2800"}, "downstream_n: not a number; got '2800'; allowed: numbers"),
        ({"at_m": None}, "at_m: not a number; got None; allowed: numbers"),
        ({"at_m": [[1.0], 2.0]}, "at_m: not an array of numbers; got [[1.0], 2.0]; allowed: numbers"),
        ({"down_n": True}, "down_n: not a number; got True; allowed: numbers"),
    ],
)
def test_what_is_out_of_range_is_told(changed, text):
    out = "outside the range in which the answer was shown"
    with pytest.raises(OutOfRange, match=f"^{re.escape(text.format(out=out))}$"):
        solve_states(**(STATE | changed))


@pytest.mark.parametrize(
    ("changed", "text"),
    [
        ({"pretension_n": 250.0}, "pretension_n: {out}; got 250 N; allowed 300 to 8000 N"),
        ({"pretension_n": [2000.0, 9000.0]}, "pretension_n: {out}; got 9000 N; allowed 300 to 8000 N"),
        ({"seating_m": -0.1}, "seating_m: {out}; got -0.1 m; allowed 0 to 0.5 m"),
        ({"seating_m": 0.6}, "seating_m: {out}; got 0.6 m; allowed 0 to 0.5 m"),
        ({"span_m": 300.0}, "span_m: {out}; got 300 m; allowed 10 to 250 m"),
        ({"rise_m": -7.0}, "rise_m: {out}; got -7 m; allowed -6 to 6 m (15 % of the span)"),
    ],
)
def test_a_line_out_of_range_cannot_be_made(changed, text):
    out = "outside the range in which the answer was shown"
    with pytest.raises(OutOfRange, match=f"^{re.escape(text.format(out=out))}$"):
        replace(TRACK, **changed)


def test_the_ends_of_each_range_belong_to_it():
    for span, rise, share in ((10.0, 1.5, 0.02), (250.0, -37.5, 0.98)):
        for pretension, weight, stiffness, load in ((300.0, 2.0, 15e3, 100.0), (8e3, 0.5, 800e3, 15e3)):
            rope = Rope(strength_n=40e3, weight_n_m=weight, stiffness_n=stiffness)
            track = TrackLine(span_m=span, rise_m=rise, rope=rope, pretension_n=pretension, seating_m=0.5)
            state = track.loaded(at_m=share * span, downstream_n=load, down_n=0.0)
            assert state.tension_n > 0


def test_a_place_off_the_empty_line_is_told():
    text = (
        "at_m: outside the range in which the answer was shown; got -1 m; allowed 0 to 40 m "
        "(tie point to tie point)"
    )
    with pytest.raises(OutOfRange, match=f"^{re.escape(text)}$"):
        TRACK.unloaded_height_m([2.0, -1.0])
    with pytest.raises(OutOfRange, match=r"^span_m: outside the range .*; got 5 m; allowed 10 to 250 m$"):
        unloaded_height_m(
            span_m=5.0, rise_m=0.0, unstretched_m=5.0, weight_n_m=1.0, stiffness_n=1e5, at_m=1.0
        )


def test_too_few_points_of_a_shape_are_told():
    state = TRACK.loaded(at_m=8.0, downstream_n=2800.0, down_n=200.0)
    with pytest.raises(OutOfRange, match=r"^points_a_side: too few; got 1; allowed 2 or more$"):
        TRACK.loaded_shape(state, points_a_side=1)


def test_shapes_that_do_not_go_together_are_numpys_to_tell():
    with pytest.raises(ValueError, match="broadcast"):
        TRACK.loaded(at_m=[8.0, 9.0], downstream_n=[1e3, 1e3, 1e3], down_n=200.0)


def test_a_state_that_does_not_close_is_refused_with_its_values(monkeypatch):
    monkeypatch.setattr(settle, "CLOSED", 0.0)  # nothing computed in floating point closes to nothing
    text = (
        "no balance found for 1 loaded state(s); the first: span 40, rise 0.5, unstretched 39.219, "
        "weight 0.75, stiffness 100000, at 8, downstream 2800, down 200 (SI)"
    )
    with pytest.raises(NoSolution, match=f"^{re.escape(text)}$"):
        solve_states(**STATE)


def test_the_slow_way_gives_the_same_answer():
    """What Newton's method leaves is begun anew and slowly; here all is, so that the two can be compared."""
    places = np.linspace(0.8, 39.2, 60)
    loads = np.geomspace(100.0, 14e3, 60)[:, None]
    quick = TRACK.loaded(at_m=places, downstream_n=loads, down_n=150.0)
    batch = Batch(
        *(
            np.broadcast_to(value, (60, 60)).reshape(-1)
            for value in (40.0, 0.5, TRACK.unstretched_m, 0.75, 1e5)
        ),
        *(np.broadcast_to(value, (60, 60)).reshape(-1) for value in (places, loads, 150.0)),
    )
    trial, closure = settle._careful(batch, tighter=1.0)
    np.testing.assert_allclose(trial.tension.reshape(60, 60), quick.tension_n, rtol=1e-9)
    np.testing.assert_allclose(closure.bow.reshape(60, 60), quick.downstream_m, rtol=1e-9)


def test_a_state_only_the_slow_way_finds(monkeypatch, exact_oracle):
    """The slackest, heaviest, stiffest line of the range, a light load beside its bank."""
    begun_anew = []
    slow = settle._careful
    monkeypatch.setattr(
        settle, "_careful", lambda batch, **way: begun_anew.append(batch.count) or slow(batch, **way)
    )
    state = solve_states(
        span_m=250.0,
        rise_m=0.0,
        unstretched_m=280.3,
        weight_n_m=2.0,
        stiffness_n=8e5,
        at_m=5.0,
        downstream_n=298.0,
        down_n=152.0,
    )
    assert begun_anew == [1]
    rig = exact_oracle.Rig(250.0, 0.0, 2.0, 8e5)
    exact = exact_oracle.loaded(rig, length=280.3, at=5.0, downstream=298.0, down=152.0)
    assert float(state.tension_n) == pytest.approx(exact.tension, rel=1e-9)
    assert float(state.height_m) == pytest.approx(exact.height, abs=1e-8)
