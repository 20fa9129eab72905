import json
from importlib.resources import files

import pytest
from jsonschema import Draft202012Validator

from atlas.cli import tables
from atlas.workings import Section


def test_json_is_the_object_alone_on_stdout_and_keeps_the_schema(cli, flats):
    ran = cli("workings", "OT-02", "--json", "--county", flats)
    assert (ran.code, ran.err) == (0, "")
    found = json.loads(ran.out)
    schema = json.loads((files("atlas") / "schema" / "workings.schema.json").read_text(encoding="utf-8"))
    Draft202012Validator(schema).validate(found)
    assert (found["site"], found["as_of"], found["edition"]) == ("OT-02", "2026-06-01", "2026")


def test_as_of_is_recorded(cli, flats):
    ran = cli("workings", "OT-02", "--json", "--county", flats, "--as-of", "2027-05-01")
    found = json.loads(ran.out)
    assert found["as_of"] == "2027-05-01"
    assert found["survey"]["overdue"] is True


def test_text_is_plain_columns_in_a_pipe(cli, flats):
    ran = cli("workings", "OT-10", "--county", flats)
    assert (ran.code, ran.err) == (0, "")
    assert ran.lines[:3] == [
        "OT-10  Señora Ávila Landing",
        "  Otter River, reach OT Otter Flats; Otter Flats County, edition 2026",
        "  INVENTED: not a real place",
    ]
    assert any(line.startswith("Limit, governed by ") for line in ran.lines)
    assert "\x1b" not in ran.out
    assert all(line == line.rstrip() for line in ran.lines)


def test_a_code_is_found_in_small_letters(cli, flats):
    assert cli("workings", "ot-02", "--county", flats).lines[0] == "OT-02  Cottonwood Ford"


def test_a_code_the_county_does_not_have_is_2_with_the_nearest(cli, flats):
    ran = cli("workings", "OT-03", "--county", flats)
    assert (ran.code, ran.out) == (2, "")
    assert ran.err == "the county has no site OT-03; nearest: OT-02, OT-10, MS-1\n"


def test_a_site_that_cannot_be_read_is_1_with_its_own_faults_alone(cli, ground):
    good, broken = ground.maker.good_sites(), ground.maker.broken_site()
    good[1]["properties"]["height"] = -1
    county = ground.county(features=[*good, *broken])
    ran = cli("workings", "MS-2", "--county", county)
    assert (ran.code, ran.out) == (1, "")
    assert len(ran.err.splitlines()) == 1
    assert ran.err.startswith("flats/surveys/rivers.geojson, feature 32, MS-2, height: text where a number")


def test_a_fault_of_another_site_does_not_count(cli, ground):
    county = ground.county(features=[*ground.maker.good_sites(), *ground.maker.broken_site()])
    ran = cli("workings", "OT-02", "--county", county)
    assert (ran.code, ran.err) == (0, "")


def test_a_file_that_cannot_be_read_counts_for_every_site(cli, flats, ground):
    ground.survey(flats, "cut.geojson", "{")
    ran = cli("workings", "OT-02", "--county", flats)
    assert ran.code == 3
    assert ran.lines[0] == "OT-02  Cottonwood Ford"
    assert ran.err.startswith("flats/surveys/cut.geojson: ")


def test_a_site_outside_plan_is_0(cli, ground):
    features = ground.maker.site("OT-02", name="Fast Ford", speed="8 mph")
    ran = cli("workings", "OT-02", "--json", "--county", ground.county(features=features))
    assert ran.code == 0
    rig = json.loads(ran.out)["rigs"][0]
    assert not next(stage for stage in rig["stages"] if stage["planning"])["inside"]


SECTION = Section(
    title="Title",
    notes=("a note",),
    head=("name", "length m", "what"),
    rows=(("one", "7.25", "a"), ("three", "112.50", "b b")),
)


def test_plain_columns_stand_under_each_other_figures_at_the_right():
    assert list(tables.plain_lines([SECTION, SECTION]))[:6] == [
        "Title",
        "  a note",
        "  name   length m  what",
        "  one        7.25  a",
        "  three    112.50  b b",
        "",
    ]


def test_on_a_terminal_nothing_is_cut_however_narrow_it_is(monkeypatch, capsys):
    monkeypatch.setenv("COLUMNS", "20")
    wide = Section(
        "Wide", head=tuple("abcdefgh"), rows=(tuple(f"cell number {mark}" for mark in "abcdefgh"),)
    )
    tables._show_on_terminal([SECTION, wide])
    out = capsys.readouterr().out
    for cell in ("Title", "a note", "112.50", *(f"cell number {mark}" for mark in "abcdefgh")):
        assert cell in out
    assert "…" not in out


@pytest.mark.parametrize("text", ["\x1b[31mred", "a\x9b2Jb"])
def test_on_a_terminal_control_characters_are_spelt_out(capsys, text):
    tables._show_on_terminal([Section(text, notes=(text,), head=("x",), rows=((text,),))])
    out = capsys.readouterr().out
    assert all(mark.isprintable() or mark == "\n" for mark in out)
