"""Whatever stands in a file: no exception, no control character, and no number that is not finite."""

from __future__ import annotations

import json
import math
from dataclasses import fields, is_dataclass

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from atlas.survey.properties import TABLES

NAMES = sorted({one.name for table in TABLES.values() for one in table.properties()})
SCALARS = (
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=12)
    | st.sampled_from(["near", "far", "track", "12 ft", "-3 m", "left", "2025-08-14", "VFD", "[{}]", "[1]"])
)  # fmt: skip
VALUES = st.recursive(
    SCALARS,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.sampled_from(NAMES), inner, max_size=3),
    max_leaves=6,
)
GEOMETRIES = st.fixed_dictionaries(
    {
        "type": st.sampled_from(["Point", "LineString", "Polygon", "MultiPoint", "GeometryCollection", "x"]),
        "coordinates": st.recursive(
            st.floats() | st.integers(-200, 200), lambda inner: st.lists(inner, max_size=4), max_leaves=12
        ),
    }
)
EDITS = st.dictionaries(
    st.builds("{}.{}".format, st.integers(1, 8), st.sampled_from([*NAMES, "role", "site"])),
    VALUES,
    max_size=4,
)
PLACES = st.dictionaries(st.builds("{} geometry".format, st.integers(1, 8)), GEOMETRIES, max_size=2)
FIXTURES_ARE_NOT_SPENT = settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)


def walk(value):
    """Every text and number in nested records."""
    if is_dataclass(value):
        for one in fields(value):
            yield from walk(getattr(value, one.name))
    elif isinstance(value, (tuple, frozenset)):
        for one in value:
            yield from walk(one)
    elif isinstance(value, (str, float)):
        yield value


def check(result):
    assert all(str(fault).isprintable() for fault in result.faults)
    for value in walk(result.sites):
        assert value.isprintable() if isinstance(value, str) else math.isfinite(value)
    assert {site.code for site in result.sites}.isdisjoint(site.code for site in result.broken)


@FIXTURES_ARE_NOT_SPENT
@given(edits=EDITS, places=PLACES)
def test_any_value_in_any_place(edits, places, spoilt, read):
    check(read(spoilt(**edits, **places)))


@FIXTURES_ARE_NOT_SPENT
@given(
    content=st.binary(max_size=60)
    | st.text(max_size=60).map(lambda text: text.encode("utf-8", "surrogatepass"))
)
def test_any_bytes(content, read):
    check(read(content))


@FIXTURES_ARE_NOT_SPENT
@given(length=st.integers(0, 2400))
def test_cut_anywhere(length, survey, read):
    text = json.dumps(survey)
    result = read(text[:length])
    check(result)
    codes = [fault.code for fault in result.faults]
    if length >= len(text):
        assert codes == []
    else:
        assert codes == (["json_cut"] if length else ["file_empty"])


@pytest.mark.parametrize("depth", [400, 900, 5000])
def test_deep_values_deep_geometries(depth, survey, read):
    deep = "[" * depth + "]" * depth
    nest = '{"type":"GeometryCollection","geometries":[' * depth + "]}" * depth
    text = json.dumps(survey)
    check(read(text.replace('"118 ft"', deep)))
    check(read(text.replace('"near_bank": "right"', f'"dam": {deep}')))
    check(read(text.replace('"geometry": {', f'"geometry": {nest}, "was": {{', 1)))
    check(read(text.replace('"coordinates": [-101.25, 41.75]', f'"coordinates": {deep}')))


def test_terminal_and_markup_tricks_stay_text(spoilt, read):
    result = read(spoilt(**{"1.name": "<img src='/etc/x'>\x1b]0;x\x07\u202e", "2.note": "<b>\u2028\u200b"}))
    (site,) = result.sites
    assert site.access.name == "<img src='/etc/x'>]0;x"
    assert site.anchors[0].note == "<b>"
    check(result)


def test_many_unknown_keys_and_long_ones_take_no_time(spoilt, read):
    result = read(spoilt(**{f"1.{'x' * 2000}{number}": 1 for number in range(3000)}))
    assert len(result.faults) == 11
    check(result)
