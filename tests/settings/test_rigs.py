"""Reading a rig's template, the gear list and the cautions: each fault's whole text."""

import pytest

from atlas.settings import load_settings

COMPARE = "; compare with the file of that name that came with the program"
RIG = "rigs/movable-control-point.toml"
STRANGE = "this is not one of the words known here"


# what the template says -> what a county's own says, and the fault's text after the file
STRANDS = "bow_strands = 2"
MESSENGER = 'name = "messenger"\nend = "figure_8"\n'
ROPE = 'kinds = ["floating"]\ndiameter_least_mm = 6\nstrength_least_kn = 4\nsource = "ours"\n'
BAD_RIGS = [
    (STRANDS, "bow_strands = 0", ", bow_strands: the number is too small; got 0; allowed: 1 or more"),
    (STRANDS, "bow_strands = 5", ", bow_strands: the number is too large; got 5; allowed: 4 or less"),
    (STRANDS, "bow_strands = 2.0", (
        ", bow_strands: this is no whole number; got 2.0; allowed: a whole number"
    )),
    (STRANDS, "", ", bow_strands: this key is missing"),
    (STRANDS, "bow_strands = 2\nkeel = 1", ", keel: this key is not known; got 1"),
    ('"2:1", "3:1"', '"2:1", "5:1"', (
        f", hauls.1: {STRANGE}; got '5:1'; allowed: '2:1', '3:1', '4:1', '6:1' or '9:1'"
    )),
    ('["2:1", "3:1", "4:1", "6:1", "9:1"]', "[]", (
        ", hauls: the list is too short; got []; allowed: 1 or more in it"
    )),
    ('"2:1", "3:1"', '"2:1", "2:1"', ": haul 2:1 stands twice"),
    ('far_end = "wraps"', 'far_end = "granny"', (
        f", far_end: {STRANGE}; got 'granny'; "
        "allowed: 'figure_8', 'butterfly', 'bowline', 'wraps' or 'device'"
    )),
    ('planning_case = "boat-swamped"', 'planning_case = "broached"', (
        ": case broached is not among judged_cases"
    )),
    ('["empty", "boat-held", ', '["empty", ', ": case boat-held is not among judged_cases"),
    ('["empty", "boat-held", ', '["boat-held", ', ": case empty is not among judged_cases"),
    ('printed_cases = ["broached"]', 'printed_cases = ["empty"]', ": case empty stands twice"),
    ('name = "up-down"', 'name = "ferry-far"', ": line ferry-far stands twice"),
    ('name = "up-down"', 'name = "bow-far"', ": line up-down is missing"),
    ('name = "up-down"', 'name = "downrigger"', (
        ": line up-down is missing"
    )),
    (MESSENGER, f'{MESSENGER}[[line.rope]]\n{ROPE}[[line]]\nname = "downrigger"\n', (
        ": line downrigger is no line of a rig of kind track-line"
    )),
    ('name = "movable-control-point"', 'name = "movable-control-point"\nkind = "kite"', (
        ", kind: no rig is of kind kite; kinds: track-line, tether; got 'kite'"
    )),
    ('["static"]\ndiameter_least_mm = 12.5', '["steel"]\ndiameter_least_mm = 12.5', (
        f", line.0.rope.0.kinds.0: {STRANGE}; got 'steel'; allowed: 'static', 'low_stretch' or 'floating'"
    )),
    ("strength_least_kn = 40", 'strength_least_kn = "40 kN"', (
        ", line.0.rope.0.strength_least_kn: this is no number; got '40 kN'; allowed: a number"
    )),
    ("strength_least_kn = 40", "strength_least_kn = nan", (
        ", line.0.rope.0.strength_least_kn: this is no number; got nan; allowed: a finite number"
    )),
    ("strength_least_kn = 40", "strength_least_kn = -40", (
        ", line.0.rope.0.strength_least_kn: the number is too small; got -40; allowed: over 0"
    )),
    ('source = "agency\'s own figure"', "source = 5", (
        ', line.0.rope.0.source: this is no text; got 5; allowed: a text, "in quotes"'
    )),
    ('item = "sling"', 'item = "pulley"', ": gear pulley stands twice"),
    ('post = "boat"', 'post = "haul"', ": crew haul stands twice"),
    ('name = "carriage_pulley"', 'name = "connector"', ": part connector stands twice"),
    ("count = 4\nrating_kn = 40", "count = 4\nrating_kn = 27", (
        ": part connector of 40 kN is not asked for in [[gear]] at that rating"
    )),
    ("count = 4\nrating_kn = 40", "count = 4", (
        ": part connector of 40 kN is not asked for in [[gear]] at that rating"
    )),
    ('item = "connector"', 'item = "whistle"', (
        ": part connector of 40 kN is not asked for in [[gear]] at that rating"
    )),
    ('release = ["up-down", ', 'release = ["up-down", "up-down", ', ": release up-down stands twice"),
    ('release = ["up-down", ', 'release = ["bow-far", ', (
        ": release names bow-far, which this rig does not have"
    )),
    ('knives = ["up_down", ', 'knives = ["cook", ', ": knives names cook, which this rig does not have"),
    ('knives = ["up_down", ', "knives = [", (
        ", knives: the list is too short; got ['far_bank']; allowed: 2 or more in it"
    )),
    ('carriage_pulley"\ncount = 1', 'carriage_pulley"\ncount = 0', (
        ", gear.0.count: the number is too small; got 0; allowed: 1 or more"
    )),
    ("per = { thrower = 1 }", "per = { thrower = 0 }", (
        ", gear.10.per.thrower: the number is too small; got 0; allowed: 1 or more"
    )),
    ("per = { anchor = 1 }\n", "", (
        ", gear.9: gear edge_protection has neither a count nor anything that it goes with; "
        "got {'item': 'edge_protection'}"
    )),
    ('load = "pulley"', 'load = "boat"', (
        f", gear.1.load: {STRANGE}; got 'boat'; allowed: 'track', 'tended', 'pulley' or 'anchor'"
    )),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "text"), BAD_RIGS, ids=lambda value: value[:50])
def test_a_bad_rig_is_told_whole(county, told, old, new, text):
    assert told(county(RIG, (old, new))) == [f"COUNTY/templates/{RIG}{text}{COMPARE}"]


def test_a_line_that_is_missing(county, told):
    rest = '[[line]]\nname = "messenger"\nend = "figure_8"\n[[line.rope]]\nkinds = ["floating"]\n'
    assert told(county(RIG, (rest, '[[line.rope]]\nkinds = ["floating"]\n'))) == [
        f"COUNTY/templates/{RIG}: line messenger is missing{COMPARE}"
    ]


def test_a_line_whose_first_rope_does_not_serve_every_span(county, told):
    old = "diameter_most_mm = 13.5\nstrength_least_kn = 40\n"
    (text,) = told(county(RIG, (old, f"{old}span_most_m = 30\n")))
    assert text.startswith(
        f"COUNTY/templates/{RIG}, line.0: the first rope of a line serves every span: no span_most_m; got "
    )
    assert text.endswith(COMPARE)


def test_a_crew_smaller_than_its_least(county, told):
    (text,) = told(county(RIG, ("people = 3\nleast = 2", "people = 3\nleast = 4")))
    assert text == (
        f"COUNTY/templates/{RIG}, crew.2: the least crew of haul is more than its crew; "
        f"got {{'post': 'haul', 'people': 3, 'least': 4}}{COMPARE}"
    )


# ---- gear and cautions


FACTS = (
    "'always', 'low_head_dam', 'power_line', 'strainer', 'bridge_pier', 'undercut', 'debris', "
    "'outside_plan', 'track_line', 'tether', 'device_capture', 'far_bank_cut_off', "
    "'line_at_head_height', 'cold_water', 'soft_hitch', 'snatch', 'broached', 'beyond_survey', "
    "'assumed_values', 'overdue' or 'stations_on_scene'"
)
BAD_LISTS = [
    ("gear.toml", 'capture = "general_use"', 'capture = "general"', (
        f"items.rope_grab_general.capture: {STRANGE}; got 'general'; "
        "allowed: 'general_use', 'technical_use' or 'soft_hitch_wet'"
    )),
    ("gear.toml", "[items.pulley]", "[items.pulley]\nweight = 3", (
        "items.pulley.weight: this key is not known; got 3"
    )),
    ("gear.toml", '["rigging_plate"]', '"rigging_plate"', (
        "items.steel_ring.served_by: this is no list; got 'rigging_plate'; allowed: a list, [in brackets]"
    )),
    ("cautions.toml", 'signal = "DANGER"', 'signal = "Danger"', (
        f"caution.0.signal: {STRANGE}; got 'Danger'; allowed: 'DANGER', 'WARNING', 'CAUTION' or 'NOTICE'"
    )),
    ("cautions.toml", 'when = "power_line"', 'when = "powerline"', (
        f"caution.1.when: {STRANGE}; got 'powerline'; allowed: {FACTS}"
    )),
    ("cautions.toml", 'when = "power_line"', "", "caution.1.when: this key is missing"),
]  # fmt: skip


@pytest.mark.parametrize(("name", "old", "new", "text"), BAD_LISTS, ids=lambda value: value[:40])
def test_a_bad_list_is_told_whole(county, told, name, old, new, text):
    assert told(county(name, (old, new))) == [f"COUNTY/templates/{name}, {text}{COMPARE}"]


# ---- names that another template must know


@pytest.mark.parametrize(
    ("name", "old", "new", "field", "where"),
    [
        (RIG, '["broached"]', '["raft"]', "case raft", "policy.toml [cases]"),
        (RIG, 'item = "knife"', 'item = "sword"', "gear sword", "gear.toml"),
        (RIG, 'post = "command"', 'post = "boss"', "crew boss", "words [crew]"),
        (
            "gear.toml",
            '["rigging_plate"]',
            '["rigging_plat"]',
            "steel_ring served_by rigging_plat",
            "gear.toml",
        ),
        ("gear.toml", "[items.knife]", "[items.knife]\n[items.sword]", "sword", "words [gear]"),
        ("cautions.toml", 'code = "strainer"', 'code = "sieve"', "sieve", "words [caution]"),
    ],
)
def test_a_name_no_other_template_knows(county, told, name, old, new, field, where):
    texts = told(county(name, (old, new)))
    # a case that the policy lacks is lacking in the wording too
    assert texts[0] == (
        f"COUNTY/templates/{name}, {field}: the name is not known to {where}; "
        f"add it to {where} or take it out"
    )
    assert len(texts) == (2 if field == "case raft" else 1)


def test_a_part_the_wording_does_not_name(county, told):
    folder = county(
        RIG,
        ('name = "carriage_pulley"\nrating_kn = 36\nstands', 'name = "steel_ring"\nrating_kn = 36\nstands'),
    )
    (text,) = told(folder)
    assert text == (
        f"COUNTY/templates/{RIG}, part steel_ring: the name is not known to words [track_part]; "
        "add it to words [track_part] or take it out"
    )


def test_a_rig_that_is_not_named_as_its_file(county, told):
    (text,) = told(county(RIG, ('name = "movable-control-point"', 'name = "moving-point"')))
    assert text == (
        f"COUNTY/templates/{RIG}: the rig's name is not that of its file; got 'moving-point'; "
        "write name = 'movable-control-point', or rename the file"
    )


def test_the_simplest_rig_stands_first():
    assert [rig.name for rig in load_settings().rigs] == [
        "two-line-tether",
        "four-line-tether",
        "movable-control-point",
    ]


def test_a_county_s_own_rig_is_the_one_that_is_used(county):
    rig = load_settings(county=county(RIG, ("people_on_haul = 3", "people_on_haul = 6"))).rig(
        "movable-control-point"
    )
    assert rig.people_on_haul == 6
    assert load_settings().rig("movable-control-point").people_on_haul == 3
