"""The tethers' templates: they validate, say what the rigs need, and fit the agency's other templates."""

import pytest
from pydantic import ValidationError

from atlas.rigging.tether_records import BOW_LINES, STERN_LINES
from atlas.settings import load_settings, read_table
from atlas.settings.rigs import Rig
from atlas.settings.shipped import shipped_folder

TETHERS = ("two-line-tether", "four-line-tether")


def table(name):
    return read_table(shipped_folder("templates") / "rigs" / f"{name}.toml")


def rig(name):
    return Rig.model_validate(table(name))


@pytest.mark.parametrize(("name", "people"), [("two-line-tether", 10), ("four-line-tether", 14)])
def test_a_tether_is_manned_as_the_trade_mans_it(name, people):
    """Ten and fourteen people: agency's own figure. The far bank is never under two."""
    crew = {rule.post: rule for rule in rig(name).crew}
    assert sum(rule.people for rule in crew.values()) == people
    assert crew["far_bank"].least == 2
    assert all(crew[post].people >= 1 for post in ("upstream_spotter", "downstream_near", "downstream_far"))


def test_lines_of_two_and_of_four():
    lines = {name: {rule.name for rule in rig(name).line} for name in TETHERS}
    assert lines["two-line-tether"] == {*BOW_LINES, "messenger"}
    assert lines["four-line-tether"] == {*BOW_LINES, *STERN_LINES, "messenger"}


@pytest.mark.parametrize("name", TETHERS)
def test_held_and_swamped_are_judged_and_broached_is_printed(name):
    found = rig(name)
    assert found.name == name
    assert (found.judged_cases, found.printed_cases) == (["boat-held", "boat-swamped"], ["broached"])
    assert found.planning_case == "boat-swamped"


@pytest.mark.parametrize("name", TETHERS)
def test_every_line_held_has_its_friction_device_and_connector(name):
    gear = {rule.item: rule.per for rule in rig(name).gear}
    assert gear["friction_device"] == gear["connector"] == {"held_line": 1}


def test_the_four_line_tether_asks_for_at_least_the_gear_of_the_two_line():
    two, four = ({rule.item: rule for rule in rig(name).gear} for name in TETHERS)
    assert set(two) == set(four)
    assert all((four[item].count or 0) >= (rule.count or 0) for item, rule in two.items())


def test_every_name_is_known_to_the_other_templates():
    """Loaded beside the movable control point: cases, gear, parts and crew all have their place and words."""
    settings = load_settings()
    assert [settings.rig(name).kind for name in TETHERS] == ["tether", "tether"]


@pytest.mark.parametrize(
    ("change", "text"),
    [
        ({"kind": "track-line"}, "line track is missing"),
        ({"line": table("two-line-tether")["line"][1:]}, "line bow-near is missing"),
        (
            {
                "line": [
                    *table("two-line-tether")["line"],
                    {**table("two-line-tether")["line"][0], "name": "track"},
                ]
            },
            "line track is no line of a rig of kind tether",
        ),
        ({"judged_cases": ["boat-swamped"]}, "case boat-held is not among judged_cases"),
    ],
)
def test_a_tether_that_is_none(change, text):
    with pytest.raises(ValidationError) as refusal:
        Rig.model_validate(table("two-line-tether") | change)
    (error,) = refusal.value.errors()
    assert error["msg"] == f"Value error, {text}"


def test_a_track_line_takes_no_bow_line():
    track = table("movable-control-point")
    bow = table("two-line-tether")["line"][0]
    with pytest.raises(ValidationError) as refusal:
        Rig.model_validate(track | {"line": [*track["line"], bow]})
    (error,) = refusal.value.errors()
    assert error["msg"] == "Value error, line bow-near is no line of a rig of kind track-line"
