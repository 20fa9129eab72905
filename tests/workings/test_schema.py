"""The shipped JSON Schema against what is written, against the wording, and against what plan can say."""

import ast
import json
from dataclasses import replace
from importlib.resources import files
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

import atlas.plan
from atlas.workings import workings_json

PLAN_SOURCES = sorted(Path(atlas.plan.__file__).parent.glob("*.py"))


@pytest.fixture(scope="module")
def schema():
    return json.loads((files("atlas") / "schema" / "workings.schema.json").read_text(encoding="utf-8"))


def closed(node):
    """The schema with every object closed: what is not described is refused."""
    if isinstance(node, list):
        return [closed(item) for item in node]
    if not isinstance(node, dict):
        return node
    found = {key: closed(item) for key, item in node.items()}
    return {**found, "additionalProperties": False} if "properties" in node else found


def plans(hand_made, words):
    made = hand_made.make_plan(words)
    rig = replace(made.chosen, closest_boat_m=None, capture_limit_n=None)
    return {
        "inside": made,
        "outside": hand_made.outside_plan(words),
        "crowded": hand_made.crowded(words),
        "sparse": replace(made, rigs=(rig,), posts=(), cautions=(), warnings=(), assumed=(), limits_used=()),
    }


def test_the_schema_is_one(schema):
    Draft202012Validator.check_schema(schema)


@pytest.mark.parametrize("name", ["inside", "outside", "crowded", "sparse"])
def test_hand_made_workings_keep_the_schema_and_every_key_is_described(schema, hand_made, settings, name):
    found = json.loads(workings_json(plans(hand_made, settings.words)[name]))
    assert [error.message for error in Draft202012Validator(closed(schema)).iter_errors(found)] == []


def test_computed_workings_keep_the_schema(schema, computed):
    found = json.loads(workings_json(computed))
    assert [error.message for error in Draft202012Validator(closed(schema)).iter_errors(found)] == []


def test_the_schema_refuses_what_the_contract_does_not_know(schema, plan):
    validator = Draft202012Validator(schema)
    for spoil in (
        lambda found: found.pop("span_m"),
        lambda found: found.update(schema=2),
        lambda found: found.update(as_of="1 June"),
        lambda found: found["rigs"][0].update(rig="Three lines"),
        lambda found: found["rigs"][0]["limit"].update(governed_by="luck"),
        lambda found: found["rigs"][0]["stages"][0].update(stage_m="1.2"),
        lambda found: found["rigs"][0]["stages"][0]["cases"][3]["why"].append({"code": "luck", "text": ""}),
        lambda found: found["cautions"][0].update(signal="ATTENTION"),
        lambda found: found["warnings"].append({"code": "luck", "text": ""}),
        lambda found: found["rigs"][0].update(pretension_window_n=[1.0]),
    ):
        found = json.loads(workings_json(plan))
        assert validator.is_valid(found)
        spoil(found)
        assert not validator.is_valid(found)


@pytest.mark.parametrize(
    ("name", "folder"), [("why_code", "why"), ("warning_code", "warning"), ("governed_code", "governed")]
)
def test_codes_are_those_of_the_wording(schema, settings, name, folder):
    assert schema["$defs"][name]["enum"] == list(settings.words.of(folder))


def test_signal_words_are_those_a_caution_may_carry(schema):
    from atlas.settings import CautionRule  # noqa: PLC0415 -- only here

    allowed = CautionRule.model_json_schema()["properties"]["signal"]["enum"]
    assert schema["$defs"]["signal"]["enum"] == allowed


def said_by(method):
    """Codes that plan gives to calls of a method, as literals in its source."""
    found = set()
    for source in PLAN_SOURCES:
        for node in ast.walk(ast.parse(source.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and getattr(node.func, "attr", "") == method and node.args:
                found |= {
                    leaf.value
                    for leaf in ast.walk(node.args[0])
                    if isinstance(leaf, ast.Constant) and isinstance(leaf.value, str)
                }
    return found


@pytest.mark.parametrize(
    ("methods", "name", "least"),
    [(("plain", "_hold"), "why_code", 7), (("note",), "warning_code", 9)],
)
def test_what_plan_says_is_in_the_schema(schema, methods, name, least):
    said = set().union(*map(said_by, methods))
    assert len(said) >= least, "the source is not read as it should be"
    assert said <= set(schema["$defs"][name]["enum"])


def test_limits_that_rigging_names_can_govern(schema):
    """Codes of force limits and rules on set tension, as literals where plan makes them."""
    named = {"search_end", "clearance"}
    for source in PLAN_SOURCES:
        for node in ast.walk(ast.parse(source.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "ForceLimit":
                named.add(node.args[0].value)
    assert {"factor", "capture", "anchor_track"} <= named
    assert named | {"pretension_rule", "pretension_strength"} <= set(schema["$defs"]["governed_code"]["enum"])
