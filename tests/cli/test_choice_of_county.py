"""Which county a command works on, and which day it takes for today."""

from datetime import datetime

from atlas.settings import demo_county_folder


def test_the_only_folder_under_sites_is_taken(cli, ground):
    ground.county("sites/flats")
    (ground.folder / "sites" / ".hidden").mkdir()
    (ground.folder / "sites" / "notes.txt").write_text("", encoding="utf-8")
    ran = cli("check")
    assert (ran.code, ran.out, ran.err) == (0, "no faults; 3 sites read\n", "")


def test_several_under_sites_are_2_and_listed(cli, ground):
    ground.county("sites/marsh")
    ground.county("sites/flats")
    for command in (["check"], ["binder"], ["sheet", "OT-02"], ["workings", "OT-02"]):
        ran = cli(*command)
        assert (ran.code, ran.out) == (2, "")
        assert ran.err == (
            "several counties under ./sites; name one with --county: sites/flats, sites/marsh\n"
        )


def test_none_is_the_county_that_ships_and_stderr_says_so(cli, ground):
    assert ground
    ran = cli("check")
    assert ran.code == 0
    assert ran.err == (
        "no --county and no folder under ./sites: the invented county that ships is taken,"
        f" {demo_county_folder()}\n"
    )


def test_a_county_that_is_named_wins(cli, ground):
    ground.county("sites/marsh")
    ground.county("sites/flats")
    assert cli("check", "--county", "sites/marsh").code == 0


def test_as_of_that_is_no_date_is_2(cli, flats):
    for text in ("tomorrow", "2026-02-30", "01.06.2026", "2026-06-01T12:00", ""):
        ran = cli("check", "--county", flats, "--as-of", text)
        assert (ran.code, ran.out) == (2, "")
        assert ran.err == f"--as-of: no date; got {text!r}; allowed: a day like 2026-11-25\n"


def test_as_of_is_today_for_every_rule(cli, flats):
    """The day before the survey: it is later than today."""
    ran = cli("check", "--county", flats, "--as-of", "2026-04-13")
    assert ran.code == 1
    assert sum("surveyed" in line for line in ran.lines) == 3
    assert cli("check", "--county", flats, "--as-of", "2026-04-14").code == 0


def test_without_a_day_of_issue_the_clock_is_read_and_said(cli, flats, ground):
    path = ground.folder / flats / "county.toml"
    path.write_text(path.read_text(encoding="utf-8").replace("issued = 2026-06-01\n", ""), encoding="utf-8")
    before = datetime.now().astimezone().date()
    ran = cli("check", "--county", flats)
    after = datetime.now().astimezone().date()
    assert ran.err in {
        f"county.toml names no day of issue: computed as of today by the clock, {day.isoformat()}\n"
        for day in (before, after)
    }
