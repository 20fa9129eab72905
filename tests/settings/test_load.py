"""All settings of a county: its own templates in place of the shipped ones, file by file."""

from pathlib import Path

import pytest

from atlas.faults import InputFaults
from atlas.settings import load_settings

SHIPPED = Path(__file__).resolve().parents[2] / "templates"


def test_without_a_county_everything_is_the_shipped():
    settings = load_settings()
    assert settings.templates == (SHIPPED,)
    assert settings.template_path("policy.toml") == SHIPPED / "policy.toml"
    assert settings.words.file == str(SHIPPED / "words" / "en.toml")


def test_a_county_s_own_policy_stands_in_whole(county):
    folder = county("policy.toml", ("factor_track = { value = 5", "factor_track = { value = 10"))
    settings = load_settings(county=folder)
    assert settings.policy.values.limits.factor_track == 10.0
    assert settings.template_path("policy.toml") == folder / "templates" / "policy.toml"
    assert settings.template_path("gear.toml") == SHIPPED / "gear.toml"
    assert settings.templates == (folder / "templates", SHIPPED)


def test_an_override_goes_before_a_county_s_own_policy(county):
    folder = county("policy.toml", ("factor_track = { value = 5", "factor_track = { value = 10"))
    settings = load_settings(county=folder, overrides={"limits.factor_track": 12})
    assert settings.policy.values.limits.factor_track == 12.0


def test_a_county_s_own_cautions_and_gear(county):
    county("gear.toml", ("[items.carabiner]", '[items.carabiner]\nserved_by = ["steel_ring"]'))
    folder = county("cautions.toml", ('signal = "NOTICE"', 'signal = "CAUTION"'))
    settings = load_settings(county=folder)
    assert settings.gear.items["carabiner"].served_by == ["steel_ring"]
    notices = [rule.code for rule in settings.cautions.caution if rule.signal == "NOTICE"]
    assert notices == ["equipment"]
    assert load_settings().gear.items["carabiner"].served_by == []


def test_a_template_s_tables():
    table = load_settings().template_table("gear.toml")
    assert "schema" not in table
    assert "carabiner" in table["items"]


def test_a_file_that_is_no_toml_is_told_alone(county, told):
    folder = county("policy.toml", ("[limits]", "[limits"))
    path = folder / "templates" / "policy.toml"
    line = 1 + path.read_text(encoding="utf-8").splitlines().index("[limits")
    (text,) = told(folder)
    assert text == (
        f"COUNTY/templates/policy.toml: line {line} is not TOML: a table's name not closed with its bracket; "
        "got [limits; mend the line"
    )


def test_a_planning_case_that_no_current_pulls_on(county, told):
    folder = county("policy.toml", ("area = { value = 0.831", "area = { value = 0"))
    (text,) = told(folder)
    assert text == (
        "COUNTY/templates/policy.toml, cases.boat-swamped.area: the planning case of two-line-tether, "
        "four-line-tether, movable-control-point has no area for the current to pull on; got 0.0; "
        "allowed: over 0 m2; "
        "give its area, or plan for another case"
    )


def test_a_language_that_did_not_come_with_the_program():
    with pytest.raises(InputFaults) as raised:
        load_settings(language="fr")
    assert str(raised.value) == (
        f"{SHIPPED / 'words' / 'fr.toml'}: the file is not there; put it back or name another folder"
    )


def test_a_county_s_translation_is_held_against_the_shipped_wording(tmp_path):
    text = (SHIPPED / "words" / "en.toml").read_text(encoding="utf-8")
    path = tmp_path / "templates" / "words" / "fr.toml"
    path.parent.mkdir(parents=True)
    path.write_text(text.replace('"Planning rope"', '"Corde de calcul"'), encoding="utf-8")
    assert load_settings(county=tmp_path, language="fr").words("rope.planning") == "Corde de calcul"
    path.write_text(text.replace('planning = "Planning rope"\n', ""), encoding="utf-8")
    with pytest.raises(InputFaults) as raised:
        load_settings(county=tmp_path, language="fr")
    assert str(raised.value) == (
        f"{path}, rope.planning: the wording lacks this text; allowed: 'Planning rope'; add the text"
    )


def test_settings_are_the_same_each_time():
    assert load_settings() == load_settings()
