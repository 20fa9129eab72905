"""The shipped JSON Schema: as the tables say, and of one mind with the reader."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path

import jsonschema
import pytest

import atlas
from atlas.survey.json_schema import survey_schema

SHIPPED = json.loads((Path(atlas.__file__).parent / "schema" / "survey.schema.json").read_text())
CASES = tomllib.loads((Path(__file__).parent / "faults.toml").read_text())["case"]
SITES = Path(atlas.__file__).parents[1] / "sites"

# what a schema can tell; the rest takes geometry, other features, other files, or the county
BY_SCHEMA = {
    "site_missing", "site_code_malformed", "role_missing", "role_unknown", "missing_property", "not_text",
    "text_too_long", "not_a_date", "value_unknown", "not_positive", "negative", "too_large", "not_a_number",
    "unit_missing", "unit_unknown", "unit_wrong_kind", "empty", "nested_as_text", "not_a_list",
    "not_an_object", "note_without_speed", "geometry_missing", "geometry_wrong_type", "not_a_feature",
    "properties_missing", "features_missing", "list_too_long", "schema_missing", "schema_newer",
    "schema_unknown", "schema_not_a_number", "not_a_feature_collection",
}  # fmt: skip
BY_READER_ALONE = {
    # the size of a quantity given as text, and numbers that JSON does not have
    "zero length", "implausible run", "implausible reach-down", "implausible height", "implausible depth",
    "negative discharge", "NaN",
    # blank after cleaning; no such place in the calendar; parts of a multi-geometry
    "name is blank", "nothing but a control character in the name", "anchor is two points",
}  # fmt: skip
ALSO_BY_SCHEMA = {
    "minus infinity",
    "integer of 400 digits",
    "beyond any float",
    "geometry is text",
    "unknown type of geometry",
}


def is_valid(survey):
    checker = jsonschema.Draft202012Validator.FORMAT_CHECKER
    return jsonschema.Draft202012Validator(SHIPPED, format_checker=checker).is_valid(survey)


def test_the_shipped_file_is_what_the_tables_say():
    assert survey_schema() == SHIPPED


def test_it_is_a_schema():
    jsonschema.Draft202012Validator.check_schema(SHIPPED)


def test_the_good_survey_is_valid(survey):
    assert is_valid(survey)


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["name"])
def test_it_refuses_what_the_reader_refuses_as_far_as_it_can_tell(case, spoilt):
    name = case["name"]
    codes = {line.split()[1] for line in case["told"]}
    refused = name in ALSO_BY_SCHEMA or (name not in BY_READER_ALONE and not codes.isdisjoint(BY_SCHEMA))
    assert is_valid(spoilt(**json.loads(case["edit"]))) != refused


@pytest.mark.parametrize("path", sorted(SITES.glob("*/surveys/**/*.geojson")), ids=lambda path: path.name)
def test_the_demo_surveys_are_valid(path):
    assert is_valid(json.loads(path.read_text()))
