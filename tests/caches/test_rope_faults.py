"""One change to a rope in order, and the whole text of the fault that tells of it."""

import pytest

from atlas.faults import Severity

LENGTHS = "m, ft, in, yd, cm, mm, km, mi"
TAG = "check number and unit of diameter, strength and mass against the maker's tag"
UNKNOWN = "this is none of the names known here"
COUNT = "allowed: a whole number from 0 to 500; write it like: count = 2"

# what stands in the first rope -> in its place -> code, and the text after the rope's own name
ROPE = [
    *(
        (line, "", "missing_key", f"{line.split()[0]}: this key is missing; write it like: {example}")
        for line, example in (
            ('length = "200 ft"', 'length = "200 ft"'),
            ('diameter = "12.5 mm"', 'diameter = "12.5 mm"'),
            ('kind = "static"', 'kind = "static"'),
            ('fibre = "nylon"', 'fibre = "nylon"'),
            ('strength = "9000 lbf"', 'strength = "40 kN"'),
            ('elongation = "4 %"', 'elongation = "4 %"'),
            ('elongation_basis = "10pct"', 'elongation_basis = "10pct"'),
            ('mass = "104 g/m"', 'mass = "104 g/m"'),
        )
    ),
    (
        '"200 ft"',
        '"200"',
        "unit_missing",
        (
            'length: a number as text, without its unit; got "200"; '
            f'allowed: a number in m, or a number with one of {LENGTHS}; write it like: length = "200 ft"'
        ),
    ),
    (
        '"200 ft"',
        '"200 kg"',
        "unit_wrong_kind",
        (
            f"length: 'kg' is a unit of mass, not of length; got \"200 kg\"; allowed: {LENGTHS}; "
            "give the unit that was meant"
        ),
    ),
    (
        '"200 ft"',
        '"200 parsecs"',
        "unit_unknown",
        (
            f"length: unknown unit 'parsecs'; got \"200 parsecs\"; allowed: {LENGTHS}; "
            "use one of these units, spelled so; capitals count"
        ),
    ),
    *(
        (
            '"200 ft"',
            bad,
            "not_finite",
            (
                f"length: not a finite number; got {bad}; "
                f"allowed: a number in m, or a number with one of {LENGTHS}; "
                'write it like: length = "200 ft"'
            ),
        )
        for bad in ("nan", "inf", "-inf", '"nan"')
    ),
    *(
        (
            '"200 ft"',
            bad,
            "not_a_number",
            (
                f"length: {what}; got {got}; allowed: a number in m, or a number with one of {LENGTHS}; "
                'write it like: length = "200 ft"'
            ),
        )
        for bad, got, what in (
            ("true", "true", "not a number"),
            ("[60]", "a list of 1", "not a number"),
            ('"long"', '"long"', "text where a number belongs"),
        )
    ),
    *(
        (
            '"200 ft"',
            bad,
            "too_small",
            (
                f"length: implausibly small; got {bad}; allowed: from 1 m, at most 2000 m; "
                'write it like: length = "200 ft"'
            ),
        )
        for bad in ("0", "-60", "0.9")
    ),
    (
        '"12.5 mm"',
        "12.5",
        "too_large",
        (
            "diameter: implausibly large; got 12.5; allowed: from 0.002 m, at most 0.05 m; "
            'write it like: diameter = "12.5 mm"'
        ),
    ),
    (
        '"static"',
        '"Static"',
        "value_unknown",
        f"kind: {UNKNOWN}; got \"Static\"; allowed: static, low_stretch, floating; was 'static' meant?",
    ),
    (
        '"static"',
        '"dynamic"',
        "value_unknown",
        (
            f'kind: {UNKNOWN}; got "dynamic"; allowed: static, low_stretch, floating; '
            'write it like: kind = "static"'
        ),
    ),
    (
        '"nylon"',
        '"cotton"',
        "value_unknown",
        (
            f'fibre: {UNKNOWN}; got "cotton"; allowed: nylon, polyester, polypropylene, hmpe, unknown; '
            'write it like: fibre = "nylon"'
        ),
    ),
    (
        '"9000 lbf"',
        "40",
        "too_small",
        (
            "strength: implausibly small; got 40; allowed: from 500 N, at most 1e+06 N; "
            'write it like: strength = "40 kN"'
        ),
    ),
    (
        '"4 %"',
        "0.04",
        "too_small",
        (
            "elongation: implausibly small; got 0.04; allowed: from 0.1 %, at most 60 %; "
            'write it like: elongation = "4 %"'
        ),
    ),
    (
        '"4 %"',
        "61",
        "too_large",
        (
            "elongation: implausibly large; got 61; allowed: from 0.1 %, at most 60 %; "
            'write it like: elongation = "4 %"'
        ),
    ),
    (
        '"10pct"',
        '"10 %"',
        "value_unknown",
        (
            f'elongation_basis: {UNKNOWN}; got "10 %"; allowed: 10pct, 50-150kg; '
            'write it like: elongation_basis = "10pct"'
        ),
    ),
    # pi/4 x 12.5^2 mm2 = 122.72 mm2: x 600 MPa = 73 631 N; x 200 and 1500 kg/m3 = 0.02454 and 0.18408 kg/m
    (
        '"9000 lbf"',
        '"40000 lbf"',
        "strength_impossible",
        (
            "strength: no rope of this diameter and fibre (nylon) is so strong; got 177929 N on 12.5 mm; "
            f"allowed: at most 73631 N; {TAG}"
        ),
    ),
    (
        '"104 g/m"',
        "0.0104",
        "mass_impossible",
        (
            "mass: no rope of this diameter is so light; got 0.0104 kg/m on 12.5 mm; "
            f"allowed: 0.0245 to 0.184 kg/m; {TAG}"
        ),
    ),
    (
        '"104 g/m"',
        "1.04",
        "mass_impossible",
        (
            "mass: no rope of this diameter is so heavy; got 1.04 kg/m on 12.5 mm; "
            f"allowed: 0.0245 to 0.184 kg/m; {TAG}"
        ),
    ),
    ("count = 2", "count = 2.5", "not_whole", f"count: this is no whole number; got 2.5; {COUNT}"),
    ("count = 2", "count = 2.0", "not_whole", f"count: this is no whole number; got 2.0; {COUNT}"),
    ("count = 2", "count = true", "not_whole", f"count: this is no whole number; got true; {COUNT}"),
    ("count = 2", 'count = "2"', "not_whole", f'count: this is no whole number; got "2"; {COUNT}'),
    ("count = 2", "count = -2", "count_negative", f"count: a count is never negative; got -2; {COUNT}"),
    ("count = 2", "count = 501", "count_too_large", f"count: implausibly many; got 501; {COUNT}"),
    (
        "since = 2024-05-01",
        "since = 2024",
        "not_a_date",
        (
            "since: this is no date; got 2024; allowed: a date YYYY-MM-DD, 1970 to 2100; "
            "write it like: since = 2024-05-01"
        ),
    ),
]


def only_fault(found):
    (fault,) = found.faults
    return fault.severity, fault.code, str(fault)


@pytest.mark.parametrize(("old", "new", "code", "text"), ROPE, ids=lambda value: str(value)[:25])
def test_a_rope_with_a_fault_is_left_out_alone(change, read, old, new, code, text):
    change("caches.toml", old, new)
    found = read()
    where = "alder/caches.toml, agency 1 (NFD), rope 1 (Red 200)"
    assert only_fault(found) == (Severity.ERROR, code, f"{where}, {text}")
    assert [rope.name for rope in found.agencies[0].ropes] == ["Yellow 60"]
    assert found.county is not None


def test_a_strength_that_only_a_stronger_fibre_has(change, read):
    change("caches.toml", '"9000 lbf"', '"100 kN"')
    assert only_fault(read())[1] == "strength_impossible"
    change("caches.toml", '"nylon"', '"hmpe"')
    assert read().faults == ()


def test_a_static_rope_that_stretches_more_than_a_static_rope_does(change, read):
    change("caches.toml", '"4 %"', '"6.1 %"')
    found = read()
    assert only_fault(found) == (
        Severity.WARNING,
        "elongation_of_kind",
        (
            "alder/caches.toml, agency 1 (NFD), rope 1 (Red 200), elongation: "
            "a static rope stretches less at 10 % of its strength; got 6.1 %; "
            "allowed: at most 6 % (CI 1801); "
            "check the kind, the elongation and its basis"
        ),
    )
    assert len(found.agencies[0].ropes) == 2
    change("caches.toml", '"static"', '"low_stretch"')
    assert read().faults == ()
    change("caches.toml", '"6.1 %"', '"10.1 %"')
    assert only_fault(read())[1] == "elongation_of_kind"
    change("caches.toml", '"10pct"', '"50-150kg"')
    assert read().faults == ()
