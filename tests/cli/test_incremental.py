"""Only what changed is made: the same bytes as a clean run, whatever became of the cache meanwhile."""

import hashlib
import itertools
import json
import os
import shutil
import sys
from pathlib import Path

import pytest

from atlas.binder import making
from atlas.cli import binder as binder_command

EDITION = "output/flats-2026"


def everything(folder):
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(Path(folder).rglob("*"))
        if path.is_file()
    }


@pytest.fixture(scope="module")
def first_run(tmp_path_factory, county_maker, run_alone):
    """The small county, printed once."""
    folder = tmp_path_factory.mktemp("first")
    county_maker.write_county(folder / "flats")
    path = {"PYTHONPATH": os.pathsep.join(sys.path)}
    assert run_alone("binder", "--county", "flats", cwd=folder, env=path).code == 0
    return folder


@pytest.fixture
def printed(first_run, tmp_path, monkeypatch):
    """A copy of it and of what was printed, with the cache."""
    shutil.copytree(first_run, tmp_path, dirs_exist_ok=True)
    monkeypatch.chdir(tmp_path)
    return Path("flats")


@pytest.fixture
def computed(monkeypatch):
    """Codes of the sites that are computed."""
    codes = []
    plan_sites = making.plan_sites

    def counted(sites, **more):
        codes.extend(site.code for site in sites)
        return plan_sites(sites, **more)

    monkeypatch.setattr(making, "plan_sites", counted)
    return codes


def change(county, code, **properties):
    path = Path(county) / "surveys" / "rivers.geojson"
    survey = json.loads(path.read_bytes())
    access = next(
        feature["properties"]
        for feature in survey["features"]
        if feature["properties"]["site"] == code and feature["properties"]["role"] == "access"
    )
    access.update(properties)
    path.write_text(json.dumps(survey), encoding="utf-8")


def test_a_run_from_the_same_makes_nothing_and_says_the_same(cli, printed, monkeypatch):
    before = everything(EDITION)
    monkeypatch.setattr(binder_command, "_print", lambda *_, **__: pytest.fail("made"))
    ran = cli("binder", "--county", printed)
    assert (ran.code, ran.out) == (0, f"{EDITION}/binder.pdf\n")
    assert ran.err == "3 of 3 sites printed, as of 2026-06-01; no faults\n"
    assert everything(EDITION) == before


def test_nothing_heavy_is_imported_for_it(alone, printed):
    """What was imported is asked of the interpreter itself."""
    ran = alone("binder", "--county", printed, env={"PYTHONPROFILEIMPORTTIME": "1"})
    assert ran.code == 0
    imported = {
        line.rpartition("|")[2].strip() for line in ran.err.splitlines() if line.startswith("import time")
    }
    assert "atlas.cli.binder" in imported
    assert not imported & {"numpy", "scipy", "shapely", "geopandas", "reportlab", "pikepdf", "pint"}


def test_warnings_and_exit_code_are_told_again(cli, ground):
    features = [*ground.maker.good_sites(), *ground.maker.broken_site()]
    county = ground.county(features=features)
    first = cli("binder", "--county", county)
    again = cli("binder", "--county", county)
    assert first.code == again.code == 1
    assert again.err == first.err
    assert again.out == first.out


@pytest.mark.parametrize("name", ["sheets/OT-02.pdf", "edition.json"])
def test_an_edition_that_was_touched_is_put_right(cli, printed, computed, name):
    before = everything(EDITION)
    path = Path(EDITION, name)
    path.write_bytes(path.read_bytes()[:-1] + b"?")
    assert cli("binder", "--county", printed).code == 0
    assert everything(EDITION) == before
    assert computed == [], "no site had changed"


def test_one_site_changed_is_the_same_as_a_clean_run(cli, printed, computed):
    """The sites of its reach are computed, for they are computed together; no other."""
    change(printed, "MS-1", road="Mill lane", permission="Asked by telephone", name="Old Mill")
    assert cli("binder", "--county", printed).code == 0
    assert computed == ["MS-1"]
    assert cli("binder", "--county", printed, "--out", "clean").code == 0
    assert everything(EDITION) == everything("clean/flats-2026")


def test_a_template_or_a_cache_that_changed_makes_all_anew(cli, printed, computed):
    path = Path(printed, "caches.toml")
    path.write_text(path.read_text(encoding="utf-8").replace("TAC 5", "TAC 6"), encoding="utf-8")
    assert cli("binder", "--county", printed).code == 0
    assert sorted(computed) == ["MS-1", "OT-02", "OT-10"]


def entries(kind):
    return sorted(Path("output/.cache/flats-2026").glob(f"{kind}-*"))


def damaged(content, how):
    return {
        "cut": content[: len(content) // 2],
        "turned": content[:-9] + bytes([content[-9] ^ 1]) + content[-8:],
        "emptied": b"",
        "foreign": b"\x80\x05cos\nsystem\n(S'touch taken'\ntR.",
    }[how]


def test_damaged_entries_are_made_again(cli, printed):
    """Each in its way: cut, with a bit turned, emptied, another's, gone."""
    before = everything(EDITION)
    whole = everything("output/.cache/flats-2026")
    ways = itertools.cycle(("cut", "turned", "emptied", "foreign", "gone"))
    for path, how in zip([*entries("sites"), *entries("pages")], ways, strict=False):
        path.unlink() if how == "gone" else path.write_bytes(damaged(path.read_bytes(), how))
    Path(EDITION, "binder.pdf").unlink()
    assert cli("binder", "--county", printed).code == 0
    assert everything(EDITION) == before
    assert everything("output/.cache/flats-2026") == whole
    assert not Path("taken").exists()


def test_an_entry_that_names_anything_but_our_records_is_made_again(cli, printed):
    """A whole entry by its hash, with a call inside: it is not called."""
    before = everything(EDITION)
    call = b"\x80\x05cos\nsystem\n(S'touch taken'\ntR."
    for path in entries("sites"):
        body = json.dumps([len(call)]).encode() + b"\n" + call
        path.write_bytes(b"reach-atlas kept 1\n" + hashlib.sha256(body).hexdigest().encode() + body)
    Path(EDITION, "binder.pdf").unlink()
    assert cli("binder", "--county", printed).code == 0
    assert everything(EDITION) == before
    assert not Path("taken").exists()


def test_the_cache_gone_altogether(cli, printed):
    before = everything(EDITION)
    shutil.rmtree("output/.cache")
    assert cli("binder", "--county", printed).code == 0
    assert everything(EDITION) == before


@pytest.mark.skipif(os.name != "posix" or os.geteuid() == 0, reason="root writes anywhere")
def test_a_folder_without_permission_is_3_in_one_line(cli, flats):
    Path("output").mkdir()
    Path("output").chmod(0o500)
    ran = cli("binder", "--county", flats)
    assert ran.code == 3
    assert len(ran.err.splitlines()) == 1


def test_a_clock_that_was_asked_is_asked_again(cli, flats, computed):
    """Without a day of issue the day is the clock's, and a binder of another day is another binder."""
    path = Path(flats, "county.toml")
    path.write_text(path.read_text(encoding="utf-8").replace("issued = 2026-06-01\n", ""), encoding="utf-8")
    assert cli("binder", "--county", flats).code == 0
    last = next(Path("output/.cache").glob("last-*.json"))
    run = json.loads(last.read_bytes())
    assert run["clock"] is not None
    last.write_text(json.dumps(run | {"clock": "2001-01-01"}), encoding="utf-8")
    computed.clear()
    assert cli("binder", "--county", flats).code == 0
    assert computed == [], "the sheets are of the same day"
    assert json.loads(last.read_bytes())["clock"] == run["clock"]
