"""The refusal outside the range shown: its ends, its round-off, shapes that broadcast, and its words."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from atlas.faults import OutOfRange
from atlas.rigging.shown import Shown, numbers, refuse, require, require_between

LENGTH_M = Shown("length_m", 1.0, 5.0, "m")


def told(call):
    with pytest.raises(OutOfRange) as caught:
        call()
    return str(caught.value)


def test_both_ends_and_what_rounding_puts_on_them_belong_to_it():
    np.testing.assert_array_equal(require(LENGTH_M, [1.0, 5.0]), [1.0, 5.0])
    require(LENGTH_M, [1.0 - 4e-9, 5.0 + 4e-9])
    assert told(lambda: require(LENGTH_M, 5.0 + 6e-9)).endswith("got 5 m; allowed 1 to 5 m")


@given(st.lists(st.floats(1.0, 5.0), min_size=1, max_size=6), st.integers(0, 5))
def test_one_value_outside_is_found_wherever_it_stands(values, place):
    values = [*values]
    values.insert(place % (len(values) + 1), 9.0)
    text = "length_m: outside the range in which the answer was shown; got 9 m; allowed 1 to 5 m"
    assert told(lambda: require(LENGTH_M, values)) == text
    assert told(lambda: require(LENGTH_M, np.reshape(values, (1, -1, 1)))) == text


@pytest.mark.parametrize("value", [np.nan, np.inf, -np.inf])
def test_what_is_no_quantity_is_outside(value):
    assert told(lambda: require(LENGTH_M, [2.0, value])).startswith("length_m: outside the range")


def test_nothing_asked_is_nothing_refused():
    assert require(LENGTH_M, []).size == 0


def test_limits_that_go_with_a_value_broadcast_and_the_first_is_told_with_its_own():
    low, high = np.array([[0.0], [10.0]]), np.array([[5.0], [20.0]])
    limits = {"low": low, "high": high, "unit": "m", "why": "its own"}
    require_between("at_m", np.array([[1.0, 5.0], [10.0, 20.0]]), **limits)
    text = told(lambda: require_between("at_m", np.array([[1.0, 2.0], [21.0, 9.0]]), **limits))
    assert text == (
        "at_m: outside the range in which the answer was shown; got 21 m; allowed 10 to 20 m (its own)"
    )


def test_words_of_a_refusal_without_unit_and_reason():
    assert str(refuse("share", 2.0, 0.0, 1.0, "")) == (
        "share: outside the range in which the answer was shown; got 2; allowed 0 to 1"
    )


@pytest.mark.parametrize("value", [1, 1.5, np.float32(2.0), [1, 2], np.arange(3)])
def test_numbers_of_every_kind_become_floats(value):
    found = numbers("length_m", value)
    assert found.dtype == np.float64
    np.testing.assert_array_equal(found, np.asarray(value, dtype=float))
