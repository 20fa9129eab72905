"""Indented JSON, byte for byte as the standard library writes it."""

import json
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from atlas.workings.json_text import indented

NUMBERS = st.integers() | st.floats(allow_nan=False, allow_infinity=False)
VALUES = st.recursive(
    st.none() | st.booleans() | NUMBERS | st.text(),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(), inner, max_size=4),
)


@given(VALUES)
def test_it_is_what_the_standard_library_writes(value):
    assert indented(value) == json.dumps(value, ensure_ascii=False, allow_nan=False, indent=2)


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf, {1, 2}])
def test_what_is_no_json_is_refused(value):
    with pytest.raises((ValueError, TypeError)):
        json.dumps([value], allow_nan=False)
    with pytest.raises(ValueError, match="no JSON value"):
        indented([value])
