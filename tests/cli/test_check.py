"""`check`: every fault on a line of its own on stdout, a count, the exit code; nothing computed."""

import pytest

import atlas.plan

TALL = (
    'flats/surveys/rivers.geojson, feature 32, MS-2, height: text where a number belongs; got "tall";'
    " allowed: a number in m, or a number with one of m, ft, in, yd, cm, mm, km, mi;"
    ' write it like 30 or "102 ft"'
)


def test_a_county_in_order(cli, flats):
    ran = cli("check", "--county", flats)
    assert (ran.code, ran.out, ran.err) == (0, "no faults; 3 sites read\n", "")


def test_faults_of_a_site_are_1_and_the_other_sites_are_read(cli, ground):
    county = ground.county(features=[*ground.maker.good_sites(), *ground.maker.broken_site()])
    ran = cli("check", "--county", county)
    assert (ran.code, ran.err) == (1, "")
    assert ran.lines == [TALL, "1 fault; 4 sites read, 1 not to be used"]


def test_a_warning_alone_is_0(cli, flats, ground):
    features = ground.maker.good_sites()
    features[0]["properties"]["raod"] = "County road 9"
    ground.survey(flats, "rivers.geojson", ground.maker.collection(features))
    ran = cli("check", "--county", flats)
    assert ran.code == 0
    assert len(ran.lines) == 2
    assert ran.lines[0].startswith("warning: flats/surveys/rivers.geojson, feature 1, OT-02, raod: ")
    assert ran.lines[1] == "1 warning; 3 sites read"


def test_a_file_that_cannot_be_read_is_3_and_the_rest_is_still_reported(cli, ground):
    county = ground.county(features=[*ground.maker.good_sites(), *ground.maker.broken_site()])
    ground.survey(county, "cut.geojson", '{"type": "FeatureCollection", "features": [')
    ran = cli("check", "--county", county)
    assert ran.code == 3
    assert any(line.startswith("flats/surveys/cut.geojson: ") for line in ran.lines)
    assert TALL in ran.lines
    assert ran.lines[-1] == "1 file that cannot be read, 1 fault; 4 sites read, 1 not to be used"


def test_a_county_that_is_not_there_is_3(cli, ground):
    assert ground
    ran = cli("check", "--county", "nowhere")
    assert ran.code == 3
    assert ran.lines == [
        "nowhere: there is no such county folder; name another folder, or make one with reach-atlas start",
        "1 file that cannot be read; the surveys were not read",
    ]


def test_a_broken_county_file_and_a_broken_template_are_told_in_one_go(cli, flats, ground):
    (ground.folder / flats / "county.toml").write_text("schema = 1\nname = \n", encoding="utf-8")
    templates = ground.folder / flats / "templates"
    templates.mkdir()
    (templates / "policy.toml").write_text("schema = 1\n[limits]\nclearance = 3\n", encoding="utf-8")
    ran = cli("check", "--county", flats)
    assert ran.code == 3
    assert any(line.startswith("flats/county.toml: line 2 is not TOML") for line in ran.lines)
    assert any(line.startswith("flats/templates/policy.toml, limits.clearance: ") for line in ran.lines)


def test_a_policy_value_that_does_not_exist_is_told_with_its_file(cli, flats, ground):
    path = ground.folder / flats / "county.toml"
    path.write_text(f'{path.read_text(encoding="utf-8")}\n[policy]\n"limits.factr" = 6\n', encoding="utf-8")
    ran = cli("check", "--county", flats)
    assert ran.code == 1
    assert ran.lines[0] == (
        "flats/county.toml, policy.limits.factr: the policy has no such value; got 6;"
        " allowed: a dotted key of policy.toml, such as limits.factor_track;"
        " take the key out or mend it"
    )
    assert ran.lines[-1] == "1 fault; 3 sites read"


def test_nothing_is_computed(cli, flats, monkeypatch):
    def never(*_, **__):
        raise AssertionError("computed")

    monkeypatch.setattr(atlas.plan, "plan_site", never)
    assert cli("check", "--county", flats).code == 0


@pytest.mark.parametrize("hostile", ["\x1b[31mred", "bell\x07", "right\u202eleft", "\x9b2J"])
def test_control_characters_never_reach_the_terminal(cli, ground, hostile):
    features = ground.maker.good_sites()
    features[0]["properties"]["agency"] = hostile
    features[0]["properties"][f"key{hostile}"] = hostile
    county = ground.county(features=features)
    ran = cli("check", "--county", county)
    assert ran.code == 1
    assert all(mark.isprintable() or mark == "\n" for mark in ran.out + ran.err)
