"""Exit codes, help, version, defects, pipes: what holds for every command."""

import re
import subprocess
import sys
from pathlib import Path

import pytest

import atlas
import atlas.cli.county
from atlas.cli.outcome import Exit, Outcome
from atlas.faults import Fault, Severity

COMMANDS = ("check", "workings", "sheet", "binder", "start")
HEAVY = (
    "numpy", "scipy", "shapely", "pyproj", "geopandas", "pyogrio", "pydantic", "pint", "mgrs", "reportlab",
    "pikepdf", "pypdfium2", "segno", "rich",
)  # fmt: skip


def test_help_names_every_command_with_a_whole_sentence(cli):
    ran = cli("--help")
    assert (ran.code, ran.err) == (0, "")
    for command in COMMANDS:
        (line,) = [line for line in ran.lines if line.startswith(f"  {command} ")]
        assert line.endswith(".")
        assert not line.endswith("...")


@pytest.mark.parametrize("command", COMMANDS)
def test_help_of_a_command(cli, command):
    ran = cli(command, "--help")
    assert (ran.code, ran.err) == (0, "")
    assert "--debug" in ran.out
    assert ("--county" in ran.out) == (command != "start")
    assert ("--as-of" in ran.out) == (command != "start")
    assert ("--out" in ran.out) == (command in {"sheet", "binder", "workings"})


def test_help_loads_nothing_heavy():
    """What takes help beyond a third of a second is importing these."""
    code = f"import sys, atlas.cli.app; print(sorted(set({HEAVY!r}) & set(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout == "[]\n"


def test_version(cli):
    ran = cli("--version")
    assert (ran.code, ran.out, ran.err) == (0, f"reach-atlas {atlas.__version__}\n", "")


@pytest.mark.parametrize(
    "arguments", [[], ["chek"], ["check", "--cuonty", "x"], ["check", "--county"], ["sheet"], ["start"]]
)
def test_wrong_usage_is_2_and_on_stderr(cli, arguments):
    ran = cli(*arguments)
    assert ran.code == 2
    if arguments:
        assert ran.out == ""
        assert "Error: " in ran.err


def fails(*_):
    raise ZeroDivisionError("made to fail")


@pytest.fixture
def log_folder(tmp_path, monkeypatch):
    folder = tmp_path / "logs"
    folder.mkdir()
    monkeypatch.setattr("tempfile.tempdir", str(folder))
    return folder


def test_a_defect_is_4_in_one_line_with_a_log(cli, flats, monkeypatch, log_folder):
    monkeypatch.setattr(atlas.cli.county, "read_everything", fails)
    ran = cli("check", "--county", flats)
    assert (ran.code, ran.out) == (4, "")
    found = re.fullmatch(r"a defect of reach-atlas; please report it with the log (.+\.log)\n", ran.err)
    log = Path(found.group(1))
    assert log.parent == log_folder
    told = log.read_text(encoding="utf-8")
    assert "Traceback" in told
    assert "ZeroDivisionError: made to fail" in told
    assert f"reach-atlas {atlas.__version__}" in told


def test_debug_shows_the_traceback_of_a_defect_too(cli, flats, monkeypatch, log_folder):
    monkeypatch.setattr(atlas.cli.county, "read_everything", fails)
    ran = cli("check", "--county", flats, "--debug")
    assert ran.code == 4
    assert "ZeroDivisionError: made to fail" in ran.err
    assert len(list(log_folder.iterdir())) == 1


def test_a_log_that_cannot_be_written_does_not_hide_the_defect(cli, flats, monkeypatch, tmp_path):
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path / "nowhere"))
    monkeypatch.setattr(atlas.cli.county, "read_everything", fails)
    ran = cli("check", "--county", flats)
    assert ran.code == 4
    assert ran.err == (
        "a defect of reach-atlas; please report it with the log"
        " that could not be written (No such file or directory); run again with --debug\n"
    )


def test_a_defect_at_one_site_is_4_and_the_other_sites_are_printed(cli, flats, monkeypatch, log_folder):
    from atlas.binder import making  # noqa: PLC0415 -- heavy, and only here

    plan_sites = making.plan_sites

    def one_fails(sites, **more):
        return fails() if any(site.code == "OT-02" for site in sites) else plan_sites(sites, **more)

    monkeypatch.setattr(making, "plan_sites", one_fails)
    ran = cli("binder", "--county", flats)
    assert (ran.code, ran.out) == (4, "output/flats-2026/binder.pdf\n")
    assert ran.err.splitlines()[-1] == "2 of 3 sites printed, as of 2026-06-01; 1 fault"
    assert len(list(log_folder.iterdir())) == 1


def test_ctrl_c_is_130_in_one_line(cli, flats, monkeypatch):
    def interrupted(*_):
        raise KeyboardInterrupt

    monkeypatch.setattr(atlas.cli.county, "read_everything", interrupted)
    ran = cli("check", "--county", flats)
    assert (ran.code, ran.out, ran.err) == (130, "", "stopped; nothing is left half written\n")


def test_the_highest_code_wins(capsys):
    outcome = Outcome(debug=False)
    for severity, code in ((Severity.WARNING, 0), (Severity.FILE, 3), (Severity.ERROR, 3)):
        outcome.tell([Fault("code", severity, f"what {severity}", "a.geojson")])
        assert outcome.code == code
    outcome.at_least(Exit.INTERRUPTED)
    outcome.at_least(Exit.DEFECT)
    assert outcome.code == 130
    assert capsys.readouterr().err == (
        "warning: a.geojson: what warning\na.geojson: what file\na.geojson: what error\n"
    )
    assert outcome.summary() == "1 file that cannot be read, 1 fault, 1 warning"


def test_a_fault_is_told_once(capsys):
    outcome = Outcome(debug=False)
    fault = Fault("code", Severity.ERROR, "what", "a.geojson")
    outcome.tell([fault, fault])
    outcome.tell([fault])
    assert capsys.readouterr().err == "a.geojson: what\n"
    assert outcome.summary() == "1 fault"


def test_a_reader_that_goes_away_is_no_defect(started, ground):
    """As in `reach-atlas check | head -1`: the pipe is closed before anything is written."""
    county = ground.county(features=[*ground.maker.good_sites(), *ground.maker.broken_site()])
    process = started("check", "--county", county)
    process.stdout.close()
    err = process.stderr.read()
    assert process.wait(timeout=60) == 3
    assert err == b""


def test_letters_the_terminal_lacks_are_spelt_out(alone, flats):
    ran = alone("workings", "OT-10", "--county", flats, env={"PYTHONIOENCODING": "ascii"})
    assert ran.code == 0
    assert ran.lines[0] == r"OT-10  Se\xf1ora \xc1vila Landing"
