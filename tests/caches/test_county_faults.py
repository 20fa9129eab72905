"""One change to a county in order, and the whole text of the fault that tells of it."""

import pytest

from atlas.caches import read_county
from atlas.faults import Severity

SAFE_NAME = (
    "allowed: at most 20 letters A to Z, digits, . _ and -, beginning with a letter or digit, "
    "not ending with .; "
    'write it like: edition = "2026"'
)
DAY = "allowed: a date YYYY-MM-DD, 1970 to 2100; write it like: issued = 2026-11-20"
NAME = 'write it like: name = "Alder County"'
NAMED = 'name = "Río Alder County"'
ROADS = '"background/roads.geojson"'
FACTOR = '"limits.factor_track" = 7'

# what stands in county.toml -> in its place -> code, and the fault's text after "alder/county.toml, "
WHOLE_COUNTY = [
    (NAMED, "", "missing_key", f"name: this key is missing; {NAME}"),
    (NAMED, "name = 7", "not_text", f"name: this is no text; got 7; allowed: a text in quotes; {NAME}"),
    (NAMED, 'name = "\\t "', "text_empty", f'name: the text is empty; got "\\x09 "; {NAME}'),
    (
        NAMED,
        'name = "A\\u001b[31m"',
        "control_characters",
        f'name: the text holds characters nobody can see; got "A\\x1b[31m"; {NAME}',
    ),
    (
        NAMED,
        f'name = "{"A" * 61}"',
        "text_too_long",
        f'name: the text has 61 characters; got "{"A" * 59}…"; allowed: at most 60; {NAME}',
    ),
    (
        "issued = 2026-11-20",
        "issued = 2026-11-20T10:00:00",
        "not_a_date",
        f"issued: this is no date; got 2026-11-20 10:00:00; {DAY}",
    ),
    (
        "issued = 2026-11-20",
        'issued = "20 Nov 2026"',
        "not_a_date",
        f'issued: this is no date; got "20 Nov 2026"; {DAY}',
    ),
    (
        "issued = 2026-11-20",
        'issued = "2026-02-30"',
        "no_such_day",
        f'issued: the calendar has no such day; got "2026-02-30"; {DAY}',
    ),
    (
        "issued = 2026-11-20",
        "issued = 0026-11-20",
        "date_outside",
        f"issued: this date is not of our time; got 0026-11-20; {DAY}",
    ),
    (
        'edition = "2026"',
        "",
        "missing_key",
        'edition: this key is missing; write it like: edition = "2026"',
    ),
    (
        'edition = "2026"',
        "edition = 2026",
        "not_text",
        'edition: this is no text; got 2026; allowed: a text in quotes; write it like: edition = "2026"',
    ),
    *(
        (
            'edition = "2026"',
            f'edition = "{bad}"',
            "text_form",
            f'edition: this text has not the form it needs; got "{bad}"; {SAFE_NAME}',
        )
        for bad in ("", "..", "2026/27", "2026.", ".2026", "20 26", "é", "2" * 21)
    ),
    (
        'paper = "a4"',
        'paper = "A4"',
        "value_unknown",
        "paper: this is none of the names known here; got \"A4\"; allowed: letter, a4; was 'a4' meant?",
    ),
    (
        'paper = "a4"',
        'paper = "legal"',
        "value_unknown",
        (
            'paper: this is none of the names known here; got "legal"; allowed: letter, a4; '
            'write it like: paper = "letter"'
        ),
    ),
    (
        'units = "si"',
        "units = true",
        "value_unknown",
        'units: this is none of the names known here; got true; allowed: us, si; write it like: units = "us"',
    ),
    (
        "invented = true",
        'invented = "yes"',
        "not_flag",
        'invented: this is not yes or no; got "yes"; allowed: true, false; write it like: invented = true',
    ),
    (
        "[gauges]",
        "[[gauges]]",
        "not_table",
        "gauges: this is no table; got a list of 1; write it like: [gauges]",
    ),
    *(
        (
            FACTOR,
            f'"limits.factor_track" = {bad}',
            "policy_value",
            (
                f"policy, limits.factor_track: this is no value; got {got}; "
                f"allowed: a finite number, true or false; write it like: {FACTOR}"
            ),
        )
        for bad, got in (
            ("nan", "nan"),
            ("-inf", "-inf"),
            ("[7]", "a list of 1"),
            ("2026-11-20", "2026-11-20"),
            ("1" + "0" * 400, "a number of more than 300 digits"),
        )
    ),
    (
        FACTOR,
        '"limits.boats_pass_under" = false',
        "policy_twice",
        "policy, limits.boats_pass_under: this policy value stands twice; got true; take one out",
    ),
    (
        FACTOR,
        "a.b.c.d.e.f.g = 1",
        "policy_value",
        (
            "policy, a.b.c.d.e.f: this is no value; got an object; allowed: a finite number, true or false; "
            f"write it like: {FACTOR}"
        ),
    ),
    (
        "[policy]",
        "[[policy]]",
        "not_table",
        f"policy: this is no table; got a list of 1; write it like: {FACTOR}",
    ),
]

ONE_ENTRY = [
    (
        'river = "Otter River"',
        "",
        "missing_key",
        'reach 1 (OT), river: this key is missing; write it like: river = "Otter River"',
    ),
    (
        'kind = "road"',
        'kind = "Road"',
        "text_form",
        (
            'background 1 (roads), kind: this text has not the form it needs; got "Road"; '
            'allowed: a word in small letters; write it like: kind = "road"'
        ),
    ),
    *(
        (
            ROADS,
            f'"{bad}"',
            "path_outside",
            (
                f'background 1 (roads), file: the file is not in the county\'s folder; got "{bad}"; '
                f"allowed: a path under it; write it like: file = {ROADS}"
            ),
        )
        for bad in ("../roads.geojson", "/roads.geojson", "background/../../alder2/roads.geojson")
    ),
]


def only_fault(found):
    (fault,) = found.faults
    return fault.severity, fault.code, str(fault)


@pytest.mark.parametrize(("old", "new", "code", "text"), WHOLE_COUNTY, ids=lambda value: str(value)[:25])
def test_a_fault_that_holds_for_the_whole_county_leaves_none(change, read, old, new, code, text):
    change("county.toml", old, new)
    found = read()
    assert only_fault(found) == (Severity.ERROR, code, f"alder/county.toml, {text}")
    assert found.county is None
    assert [agency.code for agency in found.agencies] == ["NFD", "E-2"]
    assert len(found.survey_files) == 1


@pytest.mark.parametrize(("old", "new", "code", "text"), ONE_ENTRY, ids=lambda value: str(value)[:25])
def test_a_fault_of_one_entry_leaves_the_rest(change, read, old, new, code, text):
    change("county.toml", old, new)
    found = read()
    assert only_fault(found) == (Severity.ERROR, code, f"alder/county.toml, {text}")
    assert len(found.county.reaches) + len(found.county.backgrounds) == 2


def test_a_background_that_is_not_there_is_a_missing_file(change, read):
    change("county.toml", ROADS, '"roads.geojson"')
    found = read()
    assert only_fault(found) == (
        Severity.FILE,
        "file_missing",
        (
            'alder/county.toml, background 1 (roads), file: the file is not there; got "roads.geojson"; '
            "put it back, or mend its name"
        ),
    )
    assert found.county.backgrounds == ()


def test_a_link_out_of_the_folder_is_not_followed(county, read):
    (county.parent / "outside.geojson").write_text("{}")
    (county / "background" / "roads.geojson").unlink()
    (county / "background" / "roads.geojson").symlink_to(county.parent / "outside.geojson")
    assert only_fault(read())[1] == "path_outside"


@pytest.mark.parametrize(
    ("new", "todo"),
    [
        ("invntd = true", "invntd: this key is not known and was not read; was 'invented' meant?"),
        ("Paper_ = 1", "Paper_: this key is not known and was not read; was 'paper' meant?"),
        (
            '"x\\u001by" = true',
            (
                "x\\x1by: this key is not known and was not read; "
                "allowed: name, issued, edition, paper, units, invented, reach, "
                "background, policy, gauges; take it out"
            ),
        ),
    ],
    ids=["like one", "like another", "like none"],
)
def test_an_unknown_key_is_a_warning_with_the_nearest_known(change, read, new, todo):
    change("county.toml", "invented = true", new)
    found = read()
    assert only_fault(found) == (Severity.WARNING, "unknown_key", f"alder/county.toml, {todo}")
    assert found.county is not None


def test_a_reach_code_out_of_form(change, read):
    for bad in ("Ot", "OTTER", "", "O1", "Ö"):
        change("county.toml", 'code = "KF"', f'code = "{bad}"')
        found = read()
        first, *others = (str(fault) for fault in found.faults)
        name = f" ({bad})" if bad else ""
        assert first == (
            f"alder/county.toml, reach 2{name}, code: this text has not the form it needs; "
            f'got "{bad}"; allowed: 1 to 4 capital letters, A to Z; write it like: code = "OT"'
        )
        assert len(others) == 2  # both agencies have minutes to KF
        assert [reach.code for reach in found.county.reaches] == ["OT"]
        change("county.toml", f'code = "{bad}"', 'code = "KF"')


def test_two_reaches_of_one_code(change, read):
    change("county.toml", 'code = "KF"', 'code = "OT"')
    found = read()
    assert [str(fault) for fault in found.faults] == [
        "alder/county.toml, reach: two reaches of one code; got OT; give each a code of its own",
        (
            "alder/caches.toml, agency 1 (NFD), minutes, KF: county.toml has no such reach; allowed: OT; "
            "mend the code, or add the reach to county.toml"
        ),
        (
            "alder/caches.toml, agency 2 (E-2), minutes, KF: county.toml has no such reach; allowed: OT; "
            "mend the code, or add the reach to county.toml"
        ),
    ]
    assert [reach.name for reach in found.county.reaches] == ["Otter, upper"]


@pytest.mark.parametrize(
    ("reach", "text"),
    [
        ("", "reach: this key is missing; write it like: [[reach]]"),
        ("reach = []", "reach: this key is missing; write it like: [[reach]]"),
        (
            'reach = "OT"',
            (
                'reach: this is no list of tables; got "OT"; allowed: [[reach]] entries; '
                "write it like: [[reach]]"
            ),
        ),
        (
            "reach = [7]",
            (
                "reach: this is no list of tables; got a list of 1; allowed: [[reach]] entries; "
                "write it like: [[reach]]"
            ),
        ),
        (
            '[reach]\ncode = "OT"',
            (
                "reach: this is no list of tables; got an object; allowed: [[reach]] entries; "
                "write it like: [[reach]]"
            ),
        ),
    ],
    ids=["none", "empty", "text", "numbers", "one table"],
)
def test_a_county_without_reaches_is_none(county, read, reach, text):
    (county / "county.toml").write_text(f'schema = 1\nname = "A"\nedition = "1"\n{reach}\n')
    (county / "caches.toml").write_text(
        'schema = 1\nagency = [{ code = "N", name = "N", station = [-77, 38] }]\n'
    )
    found = read()
    assert found.county is None
    assert [str(fault) for fault in found.faults] == [f"alder/county.toml, {text}"]


def test_reaches_that_are_all_at_fault_leave_no_county(county, read):
    (county / "county.toml").write_text(
        'schema = 1\nname = "A"\nedition = "1"\n[[reach]]\ncode = "OT"\nname = "O"\n'
    )
    found = read()
    assert found.county is None
    assert str(found.faults[0]) == (
        'alder/county.toml, reach 1 (OT), river: this key is missing; write it like: river = "Otter River"'
    )


def test_all_faults_of_a_file_are_told_at_once(county, read):
    (county / "county.toml").write_text('schema = 1\npaper = 4\nissued = 5\nreach = 6\nedition = ""\n')
    assert [fault.code for fault in read().faults if "county.toml" in fault.file] == [
        "missing_key",
        "not_a_date",
        "text_form",
        "value_unknown",
        "not_tables",
    ]


def test_a_folder_whose_name_cannot_name_an_edition(county):
    other = county.rename(county.parent / "alder county")
    found = read_county(other.relative_to(other.parent))
    assert only_fault(found) == (
        Severity.ERROR,
        "text_form",
        (
            'alder county, name of the folder: this text has not the form it needs; got "alder county"; '
            "allowed: at most 40 letters A to Z, digits, . _ and -, beginning with a letter or digit, "
            "not ending with .; write it like: alder-county"
        ),
    )
    assert found.county is None
