import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from atlas.faults import OutOfRange
from atlas.water import fit_rating, interpolate_rating

STAGE = np.array((0.6, 0.9, 1.3, 1.8, 2.6, 3.1, 3.9))
SCATTER = np.exp((0.05, -0.04, 0.02, -0.06, 0.03, 0.05, -0.04))
DISCHARGE = 8.0 * (STAGE - 0.2) ** 1.8 * SCATTER


@settings(max_examples=50)
@given(coefficient=st.floats(0.5, 60.0), offset=st.floats(-1.0, 0.5), exponent=st.floats(1.2, 3.5))
def test_an_exact_rating_comes_back(coefficient, offset, exponent):
    fit = fit_rating(discharge_m3_s=coefficient * (STAGE - offset) ** exponent, stage_m=STAGE)
    # 1e-5: the misfit is flat to the last digits of a double around its least value
    assert fit.offset_m == pytest.approx(offset, abs=1e-5)
    assert fit.exponent == pytest.approx(exponent, rel=1e-5)
    assert fit.coefficient == pytest.approx(coefficient, rel=1e-4)
    middle, low, high = fit.discharge_m3_s(stage_m=6.0)
    assert middle == pytest.approx(coefficient * (6.0 - offset) ** exponent, rel=1e-5)
    assert (low, high) == pytest.approx((middle, middle), rel=1e-6)


def test_no_other_offset_fits_better():
    fit = fit_rating(discharge_m3_s=DISCHARGE, stage_m=STAGE)

    def misfit(offset):
        x, y = np.log(STAGE - offset), np.log(DISCHARGE)
        return ((y - np.polyval(np.polyfit(x, y, 1), x)) ** 2).sum()

    elsewhere = np.concatenate((np.linspace(-30.0, 0.55, 400), np.linspace(0.55, 0.5999, 100)))
    assert misfit(fit.offset_m) <= min(misfit(offset) for offset in elsewhere) * (1.0 + 1e-9)


@given(level=st.floats(0.05, 0.95), discharge=st.floats(1.0, 400.0))
def test_stage_bands_are_the_inverse_of_discharge_bands(level, discharge):
    fit = fit_rating(discharge_m3_s=DISCHARGE, stage_m=STAGE)
    middle, low, high = fit.stage_m(discharge_m3_s=discharge, level=level)
    assert fit.discharge_m3_s(stage_m=middle, level=level)[0] == pytest.approx(discharge)
    assert fit.discharge_m3_s(stage_m=low, level=level)[2] == pytest.approx(discharge)
    assert fit.discharge_m3_s(stage_m=high, level=level)[1] == pytest.approx(discharge)
    assert low < middle < high


@given(lift=st.floats(-5.0, 300.0))
def test_the_zero_of_the_gauge_does_not_matter(lift):
    here = fit_rating(discharge_m3_s=DISCHARGE, stage_m=STAGE).stage_m(discharge_m3_s=40.0)
    there = fit_rating(discharge_m3_s=DISCHARGE, stage_m=STAGE + lift).stage_m(discharge_m3_s=40.0)
    assert np.array(there) - lift == pytest.approx(np.array(here), abs=1e-5)


def test_the_interval_holds_about_as_often_as_it_says():
    random = np.random.default_rng(7)
    hits = []
    for _ in range(300):
        discharge = 8.0 * (STAGE - 0.2) ** 1.8 * np.exp(random.normal(0.0, 0.08, len(STAGE)))
        _, low, high = fit_rating(discharge_m3_s=discharge, stage_m=STAGE).discharge_m3_s(stage_m=2.2)
        hits.append(low <= 8.0 * 2.0**1.8 * np.exp(random.normal(0.0, 0.08)) <= high)
    # 90 % inside the observed stages; 300 draws have a standard error of 1.7 %, and the offset's own
    # uncertainty is counted as a parameter only: 6 %
    assert np.mean(hits) == pytest.approx(0.9, abs=0.06)


def test_arrays_keep_their_shape():
    fit = fit_rating(discharge_m3_s=DISCHARGE, stage_m=STAGE)
    assert [part.shape for part in fit.stage_m(discharge_m3_s=np.full((2, 3), 30.0))] == [(2, 3)] * 3
    assert [part.shape for part in fit.discharge_m3_s(stage_m=np.full((4,), 2.0))] == [(4,)] * 3


@pytest.mark.parametrize(
    ("discharge", "stage", "text"),
    [
        (
            [1.0, 2.0, 3.0],
            [1.0, 2.0, 3.0],
            "rating of 3 rows at 3 stages; needed: at least 4 rows at 3 stages",
        ),
        (
            [1.0, 2.0, 3.0, 4.0],
            [1.0, 2.0, 2.0, 1.0],
            "rating of 4 rows at 2 stages; needed: at least 4 rows at 3 stages",
        ),
        (
            [1.0, 2.0, 3.0, 4.0],
            [1.0, 2.0, 3.0],
            "rating of 4 discharges to 3 stages; one stage each is needed",
        ),
        ([4.0, 3.0, 2.0, 1.0], [1.0, 2.0, 3.0, 4.0], "rating: discharge does not rise with stage"),
        (
            [0.0, 1.0, 2.0, 3.0],
            [1.0, 2.0, 3.0, 4.0],
            "discharge_m3_s: values must be finite and above 0; got 0",
        ),
        ([1.0, 2.0, 3.0, 4.0], [1.0, 2.0, 3.0, np.inf], "rating: stages must be finite"),
    ],
)
def test_what_is_no_rating(discharge, stage, text):
    with pytest.raises(OutOfRange) as raised:
        fit_rating(discharge_m3_s=discharge, stage_m=stage)
    assert str(raised.value) == text


def test_no_discharge_at_or_below_the_stage_of_zero_flow():
    fit = fit_rating(discharge_m3_s=8.0 * (STAGE - 0.2) ** 1.8, stage_m=STAGE)
    with pytest.raises(OutOfRange) as raised:
        fit.discharge_m3_s(stage_m=0.1)
    assert str(raised.value) == "rating: stage 0.1 m; allowed: above the offset, 0.200 m"


def test_a_cloud_of_points_gives_no_stage():
    fit = fit_rating(discharge_m3_s=[9.0, 2.0, 30.0, 3.0, 12.0], stage_m=[1.0, 1.4, 1.9, 2.4, 3.0])
    with pytest.raises(OutOfRange) as raised:
        fit.stage_m(discharge_m3_s=10.0, level=0.95)
    assert str(raised.value) == "rating: too scattered to give a stage at level 0.95"


POINTS = {
    "rating_stage_m": (1.0, 2.0, 4.0),
    "rating_discharge_m3_s": (3.0, 20.0, 150.0),
    "offset_m": 0.5,
}


def test_interpolation_goes_through_its_points_and_is_a_power_law_between():
    assert interpolate_rating((1.0, 2.0, 4.0), **POINTS) == pytest.approx(np.array((3.0, 20.0, 150.0)))
    # Q = 20 ((h - 0.5) / 1.5)^b through (4, 150): halfway in log of h - 0.5 is the geometric mean
    between = 0.5 + np.sqrt(1.5 * 3.5)
    assert interpolate_rating(between, **POINTS) == pytest.approx(np.sqrt(20.0 * 150.0))


@given(one=st.floats(1.0, 4.0), other=st.floats(1.0, 4.0))
def test_interpolated_discharge_rises_with_stage(one, other):
    low, high = sorted((one, other))
    assert interpolate_rating(low, **POINTS) <= interpolate_rating(high, **POINTS) * (1.0 + 1e-12)


@pytest.mark.parametrize(
    ("stage", "changed", "text"),
    [
        (0.9, {}, "rating: stage 0.9 m; allowed: 1 to 4 m"),
        (4.1, {}, "rating: stage 4.1 m; allowed: 1 to 4 m"),
        (float("nan"), {}, "rating: stage nan m; allowed: 1 to 4 m"),
        (2.0, {"rating_stage_m": (1.0, 4.0, 2.0)}, "rating: stages must rise, one for each discharge"),
        (2.0, {"rating_stage_m": (1.0, 2.0)}, "rating: stages must rise, one for each discharge"),
        (2.0, {"rating_discharge_m3_s": (3.0, 3.0, 150.0)}, "rating: discharge must rise with stage"),
        (2.0, {"offset_m": 1.0}, None),
        (1.5, {"offset_m": 1.0}, "rating: an offset must lie below the stages it serves"),
        (
            2.0,
            {"offset_m": (0.5, 0.6)},
            "rating: one offset more than breaks is needed, and breaks at points of the rating",
        ),
        (
            2.0,
            {"offset_m": (0.5, 0.6), "break_m": (3.0,)},
            "rating: one offset more than breaks is needed, and breaks at points of the rating",
        ),
    ],
)
def test_what_is_not_interpolated(stage, changed, text):
    if text is None:
        assert interpolate_rating(stage, **POINTS | changed) == pytest.approx(20.0)
        return
    with pytest.raises(OutOfRange) as raised:
        interpolate_rating(stage, **POINTS | changed)
    assert str(raised.value) == text
