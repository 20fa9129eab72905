"""Whatever stands in the place of a value: reading ends, tells, and keeps nothing that is no number."""

import math
import re

import pytest

LITERALS = (
    "nan",
    "-inf",
    "-0.0",
    "1e400",
    "0",
    "-1",
    "9223372036854775808",
    "1" + "0" * 400,
    "true",
    '""',
    '"\\u0000"',
    '"\\ud7ff\\U0010ffff"',
    '"nan m"',
    '"1e999 m"',
    '"' + "A" * 5000 + '"',
    "[]",
    "[[]]",
    "[{}]",
    "{}",
    "{ a = { b = [nan] } }",
    "1979-05-27",
    "07:32:00",
    "1979-05-27T07:32:00Z",
)
LINE = re.compile(r"^(\S+) = .*$", re.MULTILINE)


def numbers_of(value):
    """Every float within records and tuples."""
    if isinstance(value, float):
        yield value
    elif isinstance(value, tuple):
        for each in value:
            yield from numbers_of(each)
    elif hasattr(value, "__slots__"):
        for name in value.__slots__:
            yield from numbers_of(getattr(value, name))


@pytest.mark.parametrize("literal", LITERALS, ids=lambda text: text[:20])
@pytest.mark.parametrize("name", ["county.toml", "caches.toml"])
def test_any_value_in_the_place_of_any_other(county, read, name, literal):
    path = county / name
    good = path.read_text(encoding="utf-8")
    lines = [match for match in LINE.finditer(good) if match.group(1) != "schema"]
    assert len(lines) > 10
    for line in lines:
        path.write_text(
            f"{good[: line.start()]}{line.group(1)} = {literal}{good[line.end() :]}", encoding="utf-8"
        )
        found = read()
        for fault in found.faults:
            assert str(fault).isprintable()
            assert len(str(fault)) < 700
        assert all(math.isfinite(number) for number in numbers_of((found.county, *found.agencies)))


def test_a_table_thousands_deep(change, read):
    change("county.toml", "[policy]", f"[policy.{'.'.join('a' * 5000)}]")
    (fault,) = read().faults
    assert fault.code == "policy_value"
