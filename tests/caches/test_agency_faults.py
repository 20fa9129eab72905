"""One change to an agency in order, and the whole text of the fault that tells of it."""

import pytest

from atlas.faults import Severity

PLACE = "allowed: [longitude, latitude] in degrees, west and south negative"
UNKNOWN = "this is none of the names known here"

# what stands in the first agency -> in its place -> code, and the text after the agency's own name
AGENCY = [
    (
        "[-77.125, 38.9]",
        "[38.9, -77.125]",
        "coordinates_swapped",
        (
            f"station: longitude and latitude are exchanged; got [38.9, -77.125]; {PLACE}; "
            "write it like: station = [-77.125, 38.9]"
        ),
    ),
    (
        "[-77.125, 38.9]",
        "[38.9, 177.125]",
        "coordinates_swapped",
        (
            f"station: longitude and latitude are exchanged; got [38.9, 177.125]; {PLACE}; "
            "write it like: station = [177.125, 38.9]"
        ),
    ),
    *(
        (
            "[-77.125, 38.9]",
            bad,
            "coordinates_out_of_range",
            (
                f"station: this is no longitude and latitude; got {got}; {PLACE}; "
                "write it like: station = [-77.1, 38.9]"
            ),
        )
        for bad, got in (("[-77.125, 95]", "[-77.125, 95.0]"), ("[200, 138.9]", "[200.0, 138.9]"))
    ),
    (
        "[-77.125, 38.9]",
        "[0, 0.0]",
        "coordinates_zero",
        (
            "station: 0, 0 stands where a place was never filled in; got [0.0, 0.0]; "
            "write it like: station = [-77.1, 38.9]"
        ),
    ),
    *(
        (
            "[-77.125, 38.9]",
            bad,
            code,
            f"station: {what}; {PLACE}; write it like: station = [-77.1, 38.9]",
        )
        for bad, code, what in (
            ("[true, 38.9]", "not_a_number", "not a number; got true"),
            ("[-77.125, inf]", "not_finite", "not a finite number; got inf"),
            ('"here"', "not_a_place", 'this is no place; got "here"'),
            ("[-77.125]", "not_a_place", "this is no place; got a list of 1"),
        )
    ),
    (
        "OT = 12",
        "XX = 12",
        "reach_unknown",
        (
            "minutes, XX: county.toml has no such reach; allowed: KF, OT; "
            "mend the code, or add the reach to county.toml"
        ),
    ),
    (
        "OT = 12",
        "OT = -1",
        "negative",
        (
            "minutes, OT: a negative number; got -1; allowed: from 0 min, at most 1440 min; "
            "write it like: minutes = { OT = 12 }"
        ),
    ),
    (
        "OT = 12",
        'OT = "12 ft"',
        "unit_wrong_kind",
        (
            "minutes, OT: 'ft' is a unit of length, not of minutes; got \"12 ft\"; allowed: min, h, s; "
            "give the unit that was meant"
        ),
    ),
    (
        'minutes = { OT = 12, KF = "0.5 h" }',
        "minutes = 12",
        "not_table",
        "minutes: this is no table; got 12; write it like: minutes = { OT = 12 }",
    ),
    (
        "rigging = 6",
        "rigging = 6.5",
        "not_whole",
        (
            "crew, rigging: this is no whole number; got 6.5; allowed: a whole number from 0 to 1000; "
            "write it like: crew = { rigging = 6 }"
        ),
    ),
    (
        "rigging = 6",
        '"Rig ging" = 6',
        "text_form",
        (
            'crew: this text has not the form it needs; got "Rig ging"; '
            "allowed: up to 30 small letters, digits and _; write it like: crew = { rigging = 6 }"
        ),
    ),
    (
        'radio = "channel 3"',
        "radio = 3",
        "not_text",
        'radio: this is no text; got 3; allowed: a text in quotes; write it like: radio = "channel 3"',
    ),
    (
        'name = "Red 200"\n',
        "",
        "missing_key",
        'rope 1 (static), name: this key is missing; write it like: name = "Red 200"',
    ),
    (
        '"Yellow 60"',
        '"Red 200"',
        "duplicate_rope",
        (
            "rope: two ropes of one name; got Red 200; "
            "write count = 2 for equal ropes, or give each a name of its own"
        ),
    ),
    (
        "retired = true",
        "retired = 1",
        "not_flag",
        (
            "rope 2 (Yellow 60), retired: this is not yes or no; got 1; allowed: true, false; "
            "write it like: retired = true"
        ),
    ),
    (
        'item = "pulley"',
        'item = "pully"',
        "gear_unknown",
        (
            f'gear 1 (pully), item: {UNKNOWN}; got "pully"; allowed: knife, pulley, rope_grab_general; '
            "was 'pulley' meant?"
        ),
    ),
    (
        'item = "pulley"',
        'item = "winch"',
        "gear_unknown",
        (
            f'gear 1 (winch), item: {UNKNOWN}; got "winch"; allowed: knife, pulley, rope_grab_general; '
            'write it like: item = "pulley"'
        ),
    ),
    (
        "count = 6\n",
        "",
        "missing_key",
        "gear 1 (pulley), count: this key is missing; write it like: count = 6",
    ),
    (
        'rating = "22 kN"',
        "rating = 22",
        "too_small",
        (
            "gear 1 (pulley), rating: implausibly small; got 22; allowed: from 500 N, at most 1e+06 N; "
            'write it like: rating = "22 kN"'
        ),
    ),
    (
        'name = "raft 14 ft"',
        "count = 1",
        "missing_key",
        'boat 1, name: this key is missing; write it like: name = "raft 14 ft"',
    ),
    (
        "[[agency.boat]]",
        "[agency.boat]",
        "not_tables",
        (
            "boat: this is no list of tables; got an object; allowed: [[boat]] entries; "
            "write it like: [[agency.boat]]"
        ),
    ),
    (
        "[[agency.launcher]]",
        "[agency.launcher]",
        "not_tables",
        (
            "launcher: this is no list of tables; got an object; allowed: [[launcher]] entries; "
            "write it like: [[agency.launcher]]"
        ),
    ),
    (
        'kind = "hand_bag"',
        'kind = "hand bag"',
        "launcher_unknown",
        (
            f'launcher 1 (hand bag), kind: {UNKNOWN}; got "hand bag"; '
            "allowed: hand_bag, slingshot, pneumatic, cartridge; was 'hand_bag' meant?"
        ),
    ),
    (
        'reach = "50 ft"',
        'reach = "50 mi"',
        "too_large",
        (
            'launcher 1 (hand_bag), reach: implausibly large; got "50 mi"; allowed: from 1 m, at most 500 m; '
            'write it like: reach = "50 ft"'
        ),
    ),
]


def only_fault(found):
    (fault,) = found.faults
    return fault.severity, fault.code, str(fault)


@pytest.mark.parametrize(("old", "new", "code", "text"), AGENCY, ids=lambda value: str(value)[:25])
def test_an_agency_stands_without_what_is_at_fault(change, read, old, new, code, text):
    change("caches.toml", old, new)
    found = read()
    assert only_fault(found) == (Severity.ERROR, code, f"alder/caches.toml, agency 1 (NFD), {text}")
    assert [agency.code for agency in found.agencies] == ["NFD", "E-2"]
    whole = (2, 2, 1, 1, 2, 2, True, True)
    agency = found.agencies[0]
    left = (
        len(agency.ropes),
        len(agency.gear),
        len(agency.boats),
        len(agency.launchers),
        len(agency.minutes),
        len(agency.crew),
        agency.radio is not None,
        agency.station is not None,
    )
    assert sum(one != other for one, other in zip(left, whole, strict=True)) == 1


@pytest.mark.parametrize(
    ("new", "code", "text"),
    [
        (
            "",
            "missing_key",
            'agency 1 (Northside Fire), code: this key is missing; write it like: code = "NFD"',
        ),
        (
            'code = "N F"',
            "text_form",
            (
                'agency 1 (N F), code: this text has not the form it needs; got "N F"; '
                'allowed: up to 16 letters, digits, - and _; write it like: code = "NFD"'
            ),
        ),
    ],
)
def test_an_agency_without_a_code_is_left_out(change, read, new, code, text):
    change("caches.toml", 'code = "NFD"', new)
    found = read()
    assert only_fault(found) == (Severity.ERROR, code, f"alder/caches.toml, {text}")
    assert [agency.code for agency in found.agencies] == ["E-2"]


def test_two_agencies_of_one_code(change, read):
    change("caches.toml", '"E-2"', '"NFD"')
    found = read()
    assert only_fault(found) == (
        Severity.ERROR,
        "duplicate_agency",
        "alder/caches.toml, agency: two agencies of one code; got NFD; give each a code of its own",
    )
    assert [agency.name for agency in found.agencies] == ["Northside Fire"]


@pytest.mark.parametrize("new", ["", "minutes = {}"])
def test_an_agency_nobody_knows_how_far_away(change, read, new):
    change("caches.toml", "minutes = { KF = 0 }", new)
    found = read()
    assert only_fault(found) == (
        Severity.ERROR,
        "travel_unknown",
        (
            "alder/caches.toml, agency 2 (E-2): the agency has neither a station nor minutes to any reach; "
            "write minutes = { OT = 12 } for the reaches it serves, or station = [-77.1, 38.9]"
        ),
    )
    assert len(found.agencies) == 2


@pytest.mark.parametrize("text", ["", "agency = []"])
def test_no_agencies(county, read, text):
    (county / "caches.toml").write_text(f"schema = 1\n{text}\n")
    found = read()
    assert only_fault(found) == (
        Severity.ERROR,
        "missing_key",
        "alder/caches.toml, agency: this key is missing; write it like: [[agency]]",
    )
    assert found.agencies == ()


@pytest.mark.parametrize(
    ("old", "new", "text"),
    [
        ("count = 2", "cuont = 2", "agency 1 (NFD), rope 1 (Red 200), cuont: {}; was 'count' meant?"),
        (
            "count = 6",
            "count = 6\ncolour = 1",
            "agency 1 (NFD), gear 1 (pulley), colour: {}; allowed: item, count, rating; take it out",
        ),
        ("[[agency.boat]]", "[[agency.boats]]", "agency 1 (NFD), boats: {}; was 'boat' meant?"),
        ("schema = 1", "schema = 1\nagencies = 2", "agencies: {}; was 'agency' meant?"),
    ],
)
def test_an_unknown_key_is_a_warning_and_the_rest_is_read(change, read, old, new, text):
    change("caches.toml", old, new)
    found = read()
    told = text.format("this key is not known and was not read")
    assert only_fault(found) == (Severity.WARNING, "unknown_key", f"alder/caches.toml, {told}")
    assert len(found.agencies[0].ropes) == 2


def test_reach_codes_are_not_judged_where_county_toml_cannot_be_read(county, read):
    (county / "county.toml").write_text("")
    found = read()
    assert only_fault(found)[:2] == (Severity.FILE, "file_empty")
    assert [time.reach for time in found.agencies[0].minutes] == ["OT", "KF"]


def test_a_reach_with_another_fault_is_not_told_of_twice(change, read):
    change("county.toml", 'river = "Otter River"', "river = 7")
    assert only_fault(read())[1] == "not_text"


def test_all_faults_of_all_entries_are_told_at_once(change, read):
    change("caches.toml", '"200 ft"', "true")
    change("caches.toml", '"nylon"', '"wool"')
    change("caches.toml", "rigging = 6", "rigging = -6")
    change("caches.toml", 'code = "E-2"', "code = 2")
    change("caches.toml", 'item = "knife"', 'item = "knive"')
    assert [fault.code for fault in read().faults] == [
        "count_negative",
        "not_a_number",
        "value_unknown",
        "gear_unknown",
        "not_text",
    ]


def test_what_a_file_holds_never_reaches_a_terminal_raw(change, read):
    change("caches.toml", '"Red 200"', '"Red\\u001b[2J\\u202e200"')
    change("caches.toml", "rigging = 6", '"\\u001b[2J" = 6')
    for fault in read().faults:
        assert str(fault).isprintable()
