import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from atlas.faults import OutOfRange
from atlas.water import fit_power

Q = np.array((2.0, 5.0, 9.0, 20.0, 44.0, 90.0))
W = np.array((21.0, 22.5, 26.0, 26.5, 31.0, 33.0))


@given(coefficient=st.floats(0.1, 50.0), exponent=st.floats(-1.0, 2.0))
def test_an_exact_law_comes_back_without_an_interval(coefficient, exponent):
    fit = fit_power(discharge_m3_s=Q, value=coefficient * Q**exponent)
    assert fit.coefficient == pytest.approx(coefficient)
    assert fit.exponent == pytest.approx(exponent, abs=1e-9)
    middle, low, high = fit.predict(discharge_m3_s=300.0)
    assert (low, high) == pytest.approx((middle, middle), rel=1e-9)


def test_the_line_is_that_of_another_library():
    # scipy.stats.linregress: the same least squares by another hand
    fit = fit_power(discharge_m3_s=Q, value=W)
    other = stats.linregress(np.log(Q), np.log(W))
    assert fit.exponent == pytest.approx(other.slope)
    assert fit.coefficient == pytest.approx(np.exp(other.intercept))


def test_the_interval_is_that_of_the_closed_form_at_the_mean():
    # at the mean of log Q the distance term is nothing: half width t s sqrt(1 + 1/n)
    fit = fit_power(discharge_m3_s=Q, value=W)
    rest = np.log(W) - np.polyval(np.polyfit(np.log(Q), np.log(W), 1), np.log(Q))
    half = stats.t.ppf(0.95, 4) * np.sqrt((rest**2).sum() / 4) * np.sqrt(1.0 + 1.0 / 6.0)
    middle, low, high = fit.predict(discharge_m3_s=np.exp(np.log(Q).mean()), level=0.9)
    assert np.log((high, low) / middle) == pytest.approx((half, -half))


@pytest.mark.parametrize("level", [0.5, 0.9])
def test_the_interval_holds_as_often_as_it_says(level):
    random = np.random.default_rng(20260502)
    hits = []
    for _ in range(1500):
        discharge = np.exp(random.uniform(0.0, 4.0, 7))
        values = 20.0 * discharge**0.3 * np.exp(random.normal(0.0, 0.2, 7))
        _, low, high = fit_power(discharge_m3_s=discharge, value=values).predict(
            discharge_m3_s=120.0, level=level
        )
        hits.append(low <= 20.0 * 120.0**0.3 * np.exp(random.normal(0.0, 0.2)) <= high)
    # 1500 draws: standard error 1.3 % at one half, 0.8 % at nine tenths; three of them
    assert np.mean(hits) == pytest.approx(level, abs=3.0 * np.sqrt(level * (1.0 - level) / 1500))


@given(unit=st.floats(0.01, 100.0))
def test_units_of_the_value_scale_through(unit):
    here = fit_power(discharge_m3_s=Q, value=W).predict(discharge_m3_s=60.0)
    there = fit_power(discharge_m3_s=Q, value=unit * W).predict(discharge_m3_s=60.0)
    assert np.array(there) == pytest.approx(unit * np.array(here))


def test_farther_out_is_less_sure_and_a_higher_level_is_wider():
    fit = fit_power(discharge_m3_s=Q, value=W)
    middle, low, high = fit.predict(discharge_m3_s=[15.0, 150.0, 1500.0])
    assert middle.shape == (3,)
    assert np.all(np.diff(high / low) > 0.0)
    assert np.all(low < middle)
    assert np.all(middle < high)
    _, wider_low, wider_high = fit.predict(discharge_m3_s=15.0, level=0.99)
    assert wider_low < low[0] < high[0] < wider_high


@pytest.mark.parametrize(
    ("discharge", "value", "text"),
    [
        ([1.0, 2.0], [3.0, 4.0], "fit of 2 rows; needed: at least 3"),
        ([], [], "fit of 0 rows; needed: at least 3"),
        (
            [2.0, 2.0, 2.0],
            [3.0, 4.0, 5.0],
            "fit of rows that are all alike; needed: at least two distinct values",
        ),
        (
            [1.0, 2.0, 3.0],
            [3.0, 4.0],
            "fit of 3 discharges to 2 values; one value a discharge is needed",
        ),
        ([1.0, 0.0, 3.0], [3.0, 4.0, 5.0], "discharge_m3_s: values must be finite and above 0; got 0"),
        ([1.0, 2.0, 3.0], [3.0, -4.0, 5.0], "value: values must be finite and above 0; got -4"),
        ([1.0, 2.0, np.nan], [3.0, 4.0, 5.0], "discharge_m3_s: values must be finite and above 0; got nan"),
        ([[1.0, 2.0, 3.0]], [3.0, 4.0, 5.0], "discharge_m3_s: one row of values is needed; got shape (1, 3)"),
    ],
)
def test_what_cannot_be_fitted(discharge, value, text):
    with pytest.raises(OutOfRange) as raised:
        fit_power(discharge_m3_s=discharge, value=value)
    assert str(raised.value) == text


@pytest.mark.parametrize("level", [0.0, 1.0, -0.2, 90.0, float("nan")])
def test_level_out_of_range(level):
    with pytest.raises(OutOfRange) as raised:
        fit_power(discharge_m3_s=Q, value=W).predict(discharge_m3_s=10.0, level=level)
    assert str(raised.value) == f"interval level {level:g}; allowed: between 0 and 1"


def test_no_width_of_no_water():
    with pytest.raises(OutOfRange) as raised:
        fit_power(discharge_m3_s=Q, value=W).predict(discharge_m3_s=0.0)
    assert str(raised.value) == "discharge_m3_s: values must be finite and above 0; got 0"
