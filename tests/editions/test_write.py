import hashlib
import json
import re
from dataclasses import replace

import pytest

import atlas
from atlas.editions import edition_json, edition_name, write_edition
from atlas.settings import load_settings


@pytest.fixture(scope="module")
def edition(make_edition):
    return make_edition()


@pytest.fixture(scope="module")
def record(edition, lost):
    return json.loads(edition_json(edition[0], [lost], edition[1]))


def test_an_edition_holds_binder_sheets_workings_and_record(tmp_path, edition, lost):
    book, facts = edition
    written = write_edition(tmp_path / "output", book, [lost], facts)
    place = written.place
    assert written.digests["binder.pdf"] == hashlib.sha256(book.pdf).hexdigest()
    assert place == tmp_path / "output" / "quillback-2026"
    found = sorted(path.relative_to(place).as_posix() for path in place.rglob("*") if path.is_file())
    assert found == [
        "binder.pdf", "edition.json", "sheets/OT-02.pdf", "sheets/OT-11.pdf", "workings/OT-02.json",
        "workings/OT-11.json",
    ]  # fmt: skip
    assert (place / "binder.pdf").read_bytes() == book.pdf
    assert (place / "sheets" / "OT-11.pdf").read_bytes() == book.sheets[1].filed
    assert json.loads((place / "workings" / "OT-02.json").read_bytes())["site"] == "OT-02"


def test_the_folder_is_named_for_county_and_edition(edition):
    assert edition_name(edition[1].county) == "quillback-2026"


def test_the_record_says_what_was_printed_with_what(record):
    assert list(record) == [
        "schema", "tool", "county", "folder", "edition", "as_of", "paper", "units", "policy", "pages",
        "not_printed",
    ]  # fmt: skip
    assert record["schema"] == 2
    assert record["tool"] == {"name": "reach-atlas", "version": atlas.__version__}
    assert (record["county"], record["folder"], record["edition"]) == (
        "Quillback County",
        "quillback",
        "2026",
    )
    assert (record["as_of"], record["paper"], record["units"]) == ("2026-06-01", "letter", "us")
    assert record["not_printed"] == [{"site": "OT-9", "faults": ["unit_unknown"]}]


def test_the_record_holds_every_policy_value_in_si(record, settings):
    values = record["policy"]["values"]
    assert set(values) == set(settings.policy.provenance)
    assert values["limits.anchor_track_least"] == {
        "value": 20000.0, "unit": "kN", "source": "agency's own figure",
    }  # fmt: skip
    assert values["limits.boats_pass_under"]["value"] is False


def test_another_policy_has_another_hash(edition, lost, record):
    book, facts = edition
    other = load_settings(overrides={"limits.factor_track": 6.0}).policy
    again = json.loads(edition_json(book, [lost], replace(facts, policy=other)))
    assert re.fullmatch(r"[0-9a-f]{64}", record["policy"]["hash"])
    assert again["policy"]["hash"] != record["policy"]["hash"]


def test_every_page_of_the_binder_is_recorded_with_its_place_and_hash(record):
    pages = record["pages"]
    assert [page["label"] for page in pages] == [
        "Cover", "How to read", "Contents", "Map", "Map OT", "OT-02", "OT-9", "OT-11",
        "Permissions", "Words", "Limits", "Limits 2", "Limits 3",
    ]  # fmt: skip
    kinds = [page["kind"] for page in pages]
    assert kinds == ["around"] * 5 + ["sheet", "not_printed", "sheet", *(["around"] * 5)]
    assert all(re.fullmatch(r"[0-9a-f]{64}", page["hash"]) for page in pages)
    assert len({page["hash"] for page in pages}) == len(pages)
    assert pages[0] == {"label": "Cover", "kind": "around", "path": "binder.pdf", "hash": pages[0]["hash"]}
    assert pages[7] == {
        "label": "OT-11", "kind": "sheet", "path": "sheets/OT-11.pdf", "hash": pages[7]["hash"],
        "changed_in": "2026", "workings": "workings/OT-11.json", "name": "Foundry Bend", "reach": "OT",
        "surveyed": "2026-05-09", "valid_until": "2027-05-09",
    }  # fmt: skip


def test_a_sheet_that_changed_in_nothing_but_its_edition_keeps_its_hash(make_edition, lost, record):
    """Next year's edition of the same county: no page but says another year, and no hash changes."""
    book, facts = make_edition("2027", {"OT-02": "2024"})
    later = json.loads(edition_json(book, [lost], facts))
    assert [page["hash"] for page in later["pages"]] == [page["hash"] for page in record["pages"]]
    changed = {page["label"]: page["changed_in"] for page in later["pages"] if "changed_in" in page}
    assert changed == {"OT-02": "2024", "OT-11": "2027"}
    printed = {
        sheet.code: " ".join(getattr(item, "text", "") for item in sheet.page.items) for sheet in book.sheets
    }
    assert "Edition 2024" in printed["OT-02"]
    assert "Edition 2027" in printed["OT-11"]


def test_same_input_same_bytes(edition, lost, make_edition):
    book, facts = edition
    again, more = make_edition()
    assert edition_json(again, [lost], more) == edition_json(book, [lost], facts)
    assert again.pdf == book.pdf
