"""`binder` end to end, the processes it starts included."""

import json
import os
import re
import signal

import pytest
from pypdf import PdfReader

import atlas.cli.binder as binder_command
from atlas.cli import executors


def everything(folder):
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


SITES = range(1, 9)
"""Enough for two processes."""


@pytest.fixture
def many(ground):
    features = [
        feature
        for number in SITES
        for feature in ground.maker.site(
            f"{'OT' if number % 2 else 'MS'}-{number}",
            name=f"Ford {number}",
            span_m=18.0,
            place=(-101.25, 41.7 + number / 100),
        )
    ]
    return ground.county(features=features)


def test_the_whole_edition_is_made_and_the_binders_path_is_the_one_result(cli, flats, ground):
    ran = cli("binder", "--county", flats)
    assert (ran.code, ran.out) == (0, "output/flats-2026/binder.pdf\n")
    assert ran.err == "3 of 3 sites printed, as of 2026-06-01; no faults\n"
    place = ground.folder / "output" / "flats-2026"
    assert sorted(everything(place)) == [
        "binder.pdf", "edition.json",
        "sheets/MS-1.pdf", "sheets/OT-02.pdf", "sheets/OT-10.pdf",
        "workings/MS-1.json", "workings/OT-02.json", "workings/OT-10.json",
    ]  # fmt: skip
    labels = PdfReader(place / "binder.pdf").page_labels
    assert [label for label in labels if not label.startswith("Limits")] == [
        "Cover", "How to read", "Contents", "Map", "Map OT", "left blank", "OT-02", "left blank", "OT-10",
        "left blank", "Map MS", "left blank", "MS-1", "left blank", "Who rigs what", "Agency VFD",
        "Shopping list", "Permissions", "Words",
    ]  # fmt: skip
    record = json.loads((place / "edition.json").read_bytes())
    assert (record["edition"], record["as_of"], record["not_printed"]) == ("2026", "2026-06-01", [])


def test_a_broken_site_is_1_and_has_its_page(cli, ground):
    county = ground.county(features=[*ground.maker.good_sites(), *ground.maker.broken_site()])
    ran = cli("binder", "--county", county)
    assert ran.code == 1
    assert ran.err.splitlines()[-1] == "3 of 4 sites printed, as of 2026-06-01; 1 fault"
    reader = PdfReader(ground.folder / "output" / "flats-2026" / "binder.pdf")
    page = reader.pages[reader.page_labels.index("MS-2")].extract_text()
    assert "text where a number belongs" in page
    assert "surveys/rivers.geojson" in page
    assert "flats/surveys" not in page, "a path of this machine on paper"


def test_a_site_outside_plan_is_0(cli, ground):
    features = ground.maker.site("OT-11", name="Fast Ford", speed="8 mph")
    ran = cli("binder", "--county", ground.county(features=features))
    assert ran.code == 0
    contents = PdfReader(ground.folder / "output" / "flats-2026" / "binder.pdf").pages[2].extract_text()
    assert "OUTSIDE PLAN" in contents


@pytest.fixture
def one(ground):
    """The smallest county there is."""
    return ground.county(features=ground.maker.site("MS-1", name="Mill Weir", span_m=24.0))


def test_a_file_that_cannot_be_read_is_3_and_the_binder_says_so(cli, one, ground):
    ground.survey(one, "cut.geojson", "{")
    ran = cli("binder", "--county", one)
    assert (ran.code, ran.out) == (3, "output/flats-2026/binder.pdf\n")
    contents = PdfReader(ground.folder / "output" / "flats-2026" / "binder.pdf").pages[2].extract_text()
    assert "FILES NOT READ" in contents
    assert "surveys/cut.geojson" in contents


@pytest.mark.parametrize("there", [True, False])
def test_a_layer_behind_the_maps_that_cannot_be_read_is_3_and_costs_only_itself(cli, one, ground, there):
    """Whether it is broken or missing: the maps are printed without it, and no site is said to be lost."""
    folder = ground.folder / one
    layers = """
[[background]]
name = "county roads"
file = "roads.geojson"
kind = "road"

[[background]]
name = "streams"
file = "streams.geojson"
kind = "river"
"""
    with (folder / "county.toml").open("a", encoding="utf-8") as county:
        county.write(layers)
    line = {"type": "LineString", "coordinates": [[-101.3, 41.75], [-101.2, 41.751]]}
    streams = {
        "type": "FeatureCollection",
        "features": [{"type": "Feature", "properties": {}, "geometry": line}],
    }
    (folder / "streams.geojson").write_text(json.dumps(streams), encoding="utf-8")
    if there:
        (folder / "roads.geojson").write_text("{", encoding="utf-8")
    ran = cli("binder", "--county", one)
    assert (ran.code, ran.out) == (3, "output/flats-2026/binder.pdf\n")
    assert "roads.geojson" in ran.err
    reader = PdfReader(ground.folder / "output" / "flats-2026" / "binder.pdf")
    assert "FILES NOT READ" not in reader.pages[2].extract_text()
    page = reader.pages[reader.page_labels.index("Map")].extract_text()
    assert "streams" in page
    assert ("Not drawn: county roads." in page) == there


def test_no_site_at_all_leaves_an_earlier_edition_as_it_was(cli, one, ground):
    cli("binder", "--county", one)
    place = ground.folder / "output" / "flats-2026"
    before = everything(place)
    ground.survey(one, "rivers.geojson", "{")
    ran = cli("binder", "--county", one)
    assert (ran.code, ran.out) == (3, "")
    assert ran.err.splitlines()[-1] == "there is no site to print: no edition was written"
    assert everything(place) == before


def test_a_county_whose_caches_cannot_be_read_is_3_and_writes_nothing(cli, flats, ground):
    (ground.folder / flats / "caches.toml").unlink()
    ran = cli("binder", "--county", flats)
    assert (ran.code, ran.out) == (3, "")
    assert ran.err.splitlines()[0] == (
        "flats/caches.toml: the file is not there; put it back or name another folder"
    )
    assert not (ground.folder / "output").exists()


def test_what_stands_in_the_way_is_3_in_one_line_before_anything_is_computed(cli, flats, ground, monkeypatch):
    monkeypatch.setattr(binder_command, "_make", lambda *_: pytest.fail("computed"))
    (ground.folder / "output").write_text("", encoding="utf-8")
    ran = cli("binder", "--county", flats)
    assert (ran.code, ran.out) == (3, "")
    assert ran.err == "output: is a file where the folder of editions belongs; name another --out\n"
    (ground.folder / "elsewhere").mkdir()
    (ground.folder / "elsewhere" / "flats-2026").symlink_to(ground.folder)
    ran = cli("binder", "--county", flats, "--out", "elsewhere")
    assert (ran.code, ran.out) == (3, "")
    assert ran.err == "elsewhere/flats-2026: is a link to elsewhere; take it away or name another --out\n"


def test_a_disk_that_fills_up_is_3_and_leaves_the_earlier_edition(cli, alone, one, ground):
    """A limit on the size of files stands in for a full disk: the system refuses the write itself."""
    cli("binder", "--county", one)
    place = ground.folder / "output" / "flats-2026"
    before = everything(place)
    resource = pytest.importorskip("resource", reason="limits on files are set with it")

    def small_files():
        resource.setrlimit(resource.RLIMIT_FSIZE, (40_000, 40_000))

    ran = alone("binder", "--county", one, "--as-of", "2026-06-02", preexec_fn=small_files)
    assert (ran.code, ran.out) == (3, "")
    (line,) = ran.err.splitlines()
    assert re.fullmatch(
        r"output/[\w/.-]+: cannot be written: File too large;"
        " make room, mend its permissions or name another --out",
        line,
    )
    assert everything(place) == before
    assert sorted(path.name for path in place.parent.iterdir()) == [".cache", "flats-2026"]


def test_ctrl_c_in_the_middle_is_130_and_leaves_the_earlier_edition(started, many, ground):
    """Sent to the whole group, as a terminal does, while two processes make sites."""
    place = ground.folder / "output" / "flats-2026"
    place.mkdir(parents=True)
    (place / "edition.json").write_bytes(b"earlier")
    process = started("binder", "--county", many, "--debug")
    seen = []
    for line in process.stderr:
        seen.append(line)
        if b"making MS-2" in line:
            os.killpg(process.pid, signal.SIGINT)
            break
    out, err = process.communicate(timeout=60)
    assert process.returncode == 130
    assert out == b""
    assert err.splitlines()[-1] == b"stopped; nothing is left half written"
    assert b"Traceback" not in b"".join(seen) + err
    assert everything(place) == {"edition.json": b"earlier"}
    assert {path.name for path in place.parent.iterdir()} <= {".cache", "flats-2026"}


def test_same_input_same_bytes_whatever_seed_zone_locale_and_processes(cli, alone, many, ground, monkeypatch):
    odd = {"PYTHONHASHSEED": "77", "TZ": "Asia/Kathmandu", "LC_ALL": "C", "PYTHONUTF8": "0"}
    assert alone("binder", "--county", many, "--out", "there", env=odd).code == 0
    monkeypatch.setattr(executors, "SITES_FOR_TWO", 1000)
    assert cli("binder", "--county", ground.folder / many, "--out", "here").code == 0
    there, here = (everything(ground.folder / out / "flats-2026") for out in ("there", "here"))
    assert len(there) == 2 + 2 * len(SITES)
    assert there == here


def test_a_sheet_that_reads_the_same_keeps_the_edition_in_which_it_last_changed(cli, flats, ground):
    """Next year one site's tie is lower; the others' sheets go on saying this year."""
    cli("binder", "--county", flats)
    county, survey = ground.folder / flats / "county.toml", ground.folder / flats / "surveys/rivers.geojson"
    text = county.read_text(encoding="utf-8")
    county.write_text(text.replace('edition = "2026"', 'edition = "2026-second-issue"'), encoding="utf-8")
    features = json.loads(survey.read_bytes())
    next(
        feature for feature in features["features"] if feature["properties"].get("tag") == "N1"
    )["properties"]["height"] = 3.2  # fmt: skip
    survey.write_text(json.dumps(features), encoding="utf-8")
    ran = cli("binder", "--county", flats, "--since", "output/flats-2026")
    assert ran.code == 0
    place = ground.folder / ran.out.strip().removesuffix("/binder.pdf")
    record = json.loads((place / "edition.json").read_bytes())
    told = {page["label"]: page["changed_in"] for page in record["pages"] if page["kind"] == "sheet"}
    assert told == {"OT-02": "2026-second-issue", "OT-10": "2026", "MS-1": "2026"}
    kept = PdfReader(place / "sheets" / "OT-10.pdf").pages[0].extract_text()
    assert "Edition 2026" in kept
    assert "second-issue" not in kept
    first = ground.folder / "output" / "flats-2026" / "sheets" / "OT-10.pdf"
    # the page is the same to the byte; the workings inside the file are this issue's
    before, now = (path.read_bytes() for path in (first, place / "sheets" / "OT-10.pdf"))
    end = before.index(b"%%EOF")
    assert now[:end] == before[:end]
    assert cli("binder", "--county", flats, "--since", "nowhere").code == 3
