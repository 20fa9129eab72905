"""Reading a policy: each fault's whole text, overrides, units."""

import pytest

from atlas.settings import LoadCase, load_settings
from atlas.settings.policy_values import TO_SI, UNITS, PolicyValues, si_unit_of

MEND = "; mend the entry"
COMPARE = "; compare with the file of that name that came with the program"
LENGTHS = "{ value = NUMBER, unit = UNIT, source = TEXT } with a unit of: 'm', 'mm', 'ft'"
CLEARANCE = 'clearance = { value = 0.9, unit = "m", source = "TM 5-5420-278-10: 3 ft over the water" }'
SOURCE = "TM 5-5420-278-10: 3 ft over the water"

# what stands in place of the clearance -> the fault's whole text after file and key
BAD_ENTRIES = {
    "clearance = 0.9": f"a policy value needs its unit and its source; got 0.9; allowed: {LENGTHS}{MEND}",
    'clearance = { value = 0.9, unit = "m" }': (
        f"the policy entry is not complete; got {{'value': 0.9, 'unit': 'm'}}; allowed: {LENGTHS}{MEND}"
    ),
    'clearance = { value = 0.9, unit = "m", source = "x", note = "y" }': (
        "the policy entry is not complete; "
        "got {'value': 0.9, 'unit': 'm', 'source': 'x', 'note': 'y'}; "
        f"allowed: {LENGTHS}{MEND}"
    ),
    'clearance = { value = 0.9, unit = "yd", source = "x" }': (
        "the policy entry's unit is not known; got {'value': 0.9, 'unit': 'yd', 'source': 'x'}; "
        f"allowed: {LENGTHS}{MEND}"
    ),
    'clearance = { value = 0.9, unit = ["m"], source = "x" }': (
        "the policy entry's unit is not known; got {'value': 0.9, 'unit': ['m'], 'source': 'x'}; "
        f"allowed: {LENGTHS}{MEND}"
    ),
    'clearance = { value = 0.9, unit = "kN", source = "x" }': (
        "the policy entry's unit is of the wrong kind; got {'value': 0.9, 'unit': 'kN', 'source': 'x'}; "
        f"allowed: {LENGTHS}{MEND}"
    ),
    'clearance = { value = 0.9, unit = "", source = "x" }': (
        "the policy entry's unit is of the wrong kind; got {'value': 0.9, 'unit': '', 'source': 'x'}; "
        f"allowed: {LENGTHS}{MEND}"
    ),
    'clearance = { value = "0.9", unit = "m", source = "x" }': (
        "the policy value is no number; got {'value': '0.9', 'unit': 'm', 'source': 'x'}; "
        f"allowed: {LENGTHS}{MEND}"
    ),
    'clearance = { value = nan, unit = "m", source = "x" }': (
        "the policy value is no number; got {'value': nan, 'unit': 'm', 'source': 'x'}; "
        f"allowed: {LENGTHS}{MEND}"
    ),
    'clearance = { value = inf, unit = "m", source = "x" }': (
        "the policy value is no number; got {'value': inf, 'unit': 'm', 'source': 'x'}; "
        f"allowed: {LENGTHS}{MEND}"
    ),
    'clearance = { value = 1e13, unit = "m", source = "x" }': (
        "the policy value is no number; got {'value': 10000000000000.0, 'unit': 'm', 'source': 'x'}; "
        f"allowed: {LENGTHS}{MEND}"
    ),
    'clearance = { value = 0.9, unit = "m", source = " " }': (
        "the policy value has no source; got {'value': 0.9, 'unit': 'm', 'source': ' '}; "
        f"allowed: {LENGTHS}{MEND}"
    ),
    'clearance = { value = 0.9, unit = "m", source = 5 }': (
        "the policy value has no source; got {'value': 0.9, 'unit': 'm', 'source': 5}; "
        f"allowed: {LENGTHS}{MEND}"
    ),
    'clearance = { value = -3, unit = "ft", source = "x" }': (
        f"the number is too small; got -3 ft; allowed: 0 ft or more{COMPARE}"
    ),
    'clearance = { value = true, unit = "m", source = "x" }': (
        f"this is no number; got True m; allowed: a number{COMPARE}"
    ),
    "clearance = {}": f"a policy value needs its unit and its source; got {{}}; allowed: {LENGTHS}{MEND}",
    "": f"this key is missing{COMPARE}",
}


@pytest.mark.parametrize(("entry", "text"), BAD_ENTRIES.items(), ids=lambda value: value[:60])
def test_a_bad_entry_is_told_whole(county, told, entry, text):
    assert told(county("policy.toml", (CLEARANCE, entry))) == [
        f"COUNTY/templates/policy.toml, limits.clearance: {text}"
    ]


def test_a_number_of_a_thousand_digits_is_no_number(county, told):
    (text,) = told(county("policy.toml", ("value = 0.9", f"value = {'9' * 1000}")))
    assert text.startswith(
        "COUNTY/templates/policy.toml, limits.clearance: the policy value is no number; got {'value': 999"
    )


@pytest.mark.parametrize(
    ("old", "new", "text"),
    [
        (
            "factor_track = { value = 5",
            "factor_track = { value = 0.9",
            "limits.factor_track: the number is too small; got 0.9; allowed: 1 or more",
        ),
        (
            "set_fraction_of_strength = { value = 0.10",
            "set_fraction_of_strength = { value = 10",
            "limits.set_fraction_of_strength: the number is too large; got 10; allowed: 0.25 or less",
        ),
        (
            "survey_valid_months = { value = 12",
            "survey_valid_months = { value = 12.5",
            "limits.survey_valid_months: this is no whole number; got 12.5; allowed: a whole number",
        ),
        (
            "boats_pass_under = { value = false",
            "boats_pass_under = { value = 0",
            "limits.boats_pass_under: this is neither true nor false; got 0; allowed: true or false",
        ),
        (
            "default = { value = 5",
            "default = { value = 0",
            "capture.default: the number is too small; got 0 kN; allowed: over 0 kN",
        ),
        (
            "water_density = { value = 1000",
            "water_density = { value = 1",
            "loads.water_density: the number is too small; got 1 kg/m3; allowed: 900 kg/m3 or more",
        ),
        (
            "seating = { value = 0.15",
            "seating = { value = 15",
            "loads.seating: the number is too large; got 15 m; allowed: 0.5 m or less",
        ),
        (
            "interval_level = { value = 0.90",
            "interval_level = { value = 1",
            "loads.interval_level: the number is too large; got 1; allowed: under 1",
        ),
        (
            "pulley_efficiency = { value = 0.80",
            "pulley_efficiency = { value = 80",
            "haul.pulley_efficiency: the number is too large; got 80; allowed: 1 or less",
        ),
        (
            "carriage_weight = { value = 120",
            "carriage_weight = { value = 12",
            "loads.carriage_weight: the number is too small; got 12 N; allowed: 100 N or more",
        ),
        (
            "rule_of_18 = { value = 18",
            "rule_of_18 = { value = 1.8",
            "limits.rule_of_18: the number is too small; got 1.8; allowed: 6 or more",
        ),
        (
            "pull_per_person = { value = 222",
            "pull_per_person = { value = 50",
            "limits.pull_per_person: the number is too small; got 50 N; allowed: 100 N or more",
        ),
        (
            "weight = { value = 1.02",
            "weight = { value = 102",
            "planning_rope.weight: the number is too large; got 102 N/m; allowed: 2 N/m or less",
        ),
        (
            "stiffness = { value = 100",
            "stiffness = { value = 4",
            "planning_rope.stiffness: the number is too small; got 4 kN; allowed: 40 kN or more",
        ),
        (
            "high_of_10pct = { value = 1.33",
            "high_of_10pct = { value = 133",
            "stiffness.high_of_10pct: the number is too large; got 133; allowed: 3 or less",
        ),
        (
            "tie_rise_most = { value = 6",
            "tie_rise_most = { value = 600",
            "window.tie_rise_most: the number is too large; got 600 m; allowed: 8 m or less",
        ),
    ],
)
def test_a_value_out_of_bounds_is_told_in_its_own_unit(county, told, old, new, text):
    assert told(county("policy.toml", (old, new))) == [f"COUNTY/templates/policy.toml, {text}{COMPARE}"]


def test_an_unknown_key_and_the_one_it_stands_for(county, told):
    assert told(county("policy.toml", ("factor_track =", "factor_trak ="))) == [
        f"COUNTY/templates/policy.toml, limits.factor_track: this key is missing{COMPARE}",
        f"COUNTY/templates/policy.toml, limits.factor_trak: this key is not known; got 5{COMPARE}",
    ]


def test_a_missing_table(county, told):
    folder = county("policy.toml", ("[window]", "[windows]"))
    assert told(folder) == [
        f"COUNTY/templates/policy.toml, window: this key is missing{COMPARE}",
        (
            "COUNTY/templates/policy.toml, windows: this key is not known; "
            f"got {{'tie_rise_most': 6.0}}{COMPARE}"
        ),
    ]


def test_every_fault_is_told_at_once(county, told):
    folder = county(
        "policy.toml",
        ("value = 0.9", "value = nan"),
        ("anchor_ratio = { value = 4", "anchor_ratio = { worth = 4"),
    )
    texts = told(folder, **{"limits.sag": 3})
    assert len(texts) == 3
    assert texts[1].startswith(
        "COUNTY/templates/policy.toml, limits.anchor_ratio: the policy entry is not complete"
    )
    assert texts[0].startswith(
        "COUNTY/templates/policy.toml, limits.clearance: the policy value is no number"
    )
    assert texts[-1].startswith("COUNTY/county.toml, policy.limits.sag: the policy has no such value")


# ---- a county's own figures

NO_SUCH = (
    "the policy has no such value; got 7; allowed: a dotted key of policy.toml, such as limits.factor_track"
)
BAD_OVERRIDES = [
    (
        "limits.factor_trak",
        7,
        NO_SUCH,
    ),
    (
        "limits",
        7,
        NO_SUCH,
    ),
    ("limits.factor_track", "7", "the policy value is no number; got '7'; allowed: a number"),
    ("limits.clearance", True, "the policy value is no number; got True; allowed: a number of m"),
    ("limits.clearance", float("nan"), "the policy value is no number; got nan; allowed: a number of m"),
    ("limits.clearance", float("inf"), "the policy value is no number; got inf; allowed: a number of m"),
    ("capture.default", -5, "the number is too small; got -5 kN; allowed: over 0 kN"),
    ("limits.factor_track", 0, "the number is too small; got 0; allowed: 1 or more"),
    (
        "limits.boats_pass_under",
        1,
        "the policy value is neither true nor false; got 1; allowed: true or false",
    ),
]


@pytest.mark.parametrize(("key", "value", "text"), BAD_OVERRIDES)
def test_a_bad_override_is_told_where_it_stands(told, tmp_path, key, value, text):
    assert told(tmp_path, **{key: value}) == [
        f"COUNTY/county.toml, policy.{key}: {text}; take the key out or mend it"
    ]


def test_an_override_is_read_in_the_unit_of_the_policy_and_is_the_agency_s_own():
    policy = load_settings(overrides={"capture.default": 6, "float_check.paces_step": 20}).policy
    assert policy.values.capture.default == 6000.0
    assert policy.values.float_check.paces_step == pytest.approx(6.096)
    assert policy.provenance["capture.default"].source == "agency's own figure (county.toml)"
    assert policy.provenance["capture.default"].unit == "kN"
    assert policy.provenance["capture.general_use"].source.startswith("NFPA 2500")
    assert load_settings().policy.values.capture.default == 5000.0


def test_a_switch_is_overridden_by_a_switch():
    assert load_settings(overrides={"limits.boats_pass_under": True}).policy.values.limits.boats_pass_under


def test_a_case_of_the_agency_s_own(county):
    """A table by name takes any name, and its units are held to."""
    case = '[cases.raft]\narea = { value = 1.1, unit = "m2", source = "x" }\n'
    case += 'surge = { value = 1.2, unit = "", source = "x" }\n\n[cases.empty]'
    policy = load_settings(county=county("policy.toml", ("[cases.empty]", case))).policy
    assert policy.values.cases["raft"] == LoadCase(area=1.1, surge=1.2)
    assert policy.value_of("cases.raft.area") == 1.1


def test_a_case_in_a_wrong_unit(county, told):
    (text,) = told(
        county("policy.toml", ('area = { value = 0.30, unit = "m2"', 'area = { value = 0.30, unit = "m"'))
    )
    assert text == (
        "COUNTY/templates/policy.toml, cases.boat-held.area: the policy entry's unit is of the wrong kind; "
        "got {'value': 0.3, 'unit': 'm', 'source': \"agency's own figure: bow-on, crew aboard\"}; "
        "allowed: { value = NUMBER, unit = UNIT, source = TEXT } with a unit of: 'm2'; mend the entry"
    )


def test_every_value_has_a_unit_of_its_kind_and_a_source():
    policy = load_settings().policy
    for key, provenance in policy.provenance.items():
        assert provenance.unit in UNITS[si_unit_of(key)], key
        assert provenance.source.strip(), key
        assert policy.value_of(key) == float(policy.entry(key))


def test_the_unit_of_what_is_no_value():
    for key in (
        "",
        "limits",
        "limits.nothing",
        "cases",
        "cases.empty",
        "cases.empty.area.more",
        "limits.clearance.m",
    ):
        assert si_unit_of(key) is None
    assert si_unit_of("cases.anything.area") == "m2"
    with pytest.raises(AttributeError):
        load_settings().policy.entry("limits.nothing")
    with pytest.raises(KeyError):
        load_settings().policy.entry("limits")


def test_every_field_of_a_policy_tells_its_unit():
    def keys(model, prefix=""):
        for name, field in model.model_fields.items():
            inner = [
                kind
                for kind in (field.annotation, *getattr(field.annotation, "__args__", ()))
                if hasattr(kind, "model_fields")
            ]
            if inner:
                by_name = inner[0] is not field.annotation
                yield from keys(inner[0], f"{prefix}{name}.{'any.' if by_name else ''}")
            else:
                yield f"{prefix}{name}"

    found = list(keys(PolicyValues))
    assert len(found) > 80
    assert [key for key in found if si_unit_of(key) is None] == []


def test_units_are_exact():
    """1 ft is 0.3048 m, exactly (NIST SP 811)."""
    assert TO_SI["ft"] == 0.3048
    assert (TO_SI["mm"], TO_SI["kN"], TO_SI["kN/m2"], TO_SI["min"]) == (1e-3, 1e3, 1e3, 60.0)
