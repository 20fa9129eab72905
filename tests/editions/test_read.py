"""Records read back: of every schema there was, as the tool of that day wrote them, and damaged ones."""

import json
from datetime import date
from pathlib import Path

import pytest

from atlas.editions import earlier_sheets, read_edition
from atlas.editions.migrate import STEPS, migrated
from atlas.editions.record import SCHEMA
from atlas.faults import InputFaults

FROZEN = Path(__file__).parent / "frozen"
"""Two sheets, a site in between that could not be made; each record is frozen as it was written."""


def test_every_older_schema_has_its_step_and_every_schema_its_frozen_record():
    assert sorted(STEPS) == list(range(1, SCHEMA))
    assert sorted(path.name for path in FROZEN.iterdir()) == [f"schema-{n}" for n in range(1, SCHEMA + 1)]


@pytest.mark.parametrize("schema", range(1, SCHEMA + 1))
def test_a_frozen_record_is_read(schema):
    edition = read_edition(FROZEN / f"schema-{schema}")
    assert (edition.county, edition.name, edition.as_of) == ("Quillback County", "2026", date(2026, 6, 1))
    assert (edition.paper, edition.units) == ("letter", "us")
    assert [(page.label, page.kind) for page in edition.pages] == [
        ("Cover", "around"), ("How to read", "around"), ("Contents", "around"), ("Map", "around"),
        ("Map OT", "around"), ("OT-02", "sheet"), ("OT-9", "not_printed"), ("OT-11", "sheet"),
        ("Limits", "around"), ("Limits 2", "around"),
    ] if schema > 1 else [
        ("Cover", "around"), ("How to read", "around"), ("Contents", "around"), ("Map", "around"),
        ("Map OT", "around"), ("OT-9", "not_printed"), ("OT-02", "sheet"), ("OT-11", "sheet"),
        ("Limits", "around"), ("Limits 2", "around"),
    ]  # fmt: skip
    assert edition.policy["limits.anchor_track_least"].value == 20000.0
    assert edition.policy["limits.anchor_track_least"].unit == "kN"
    sheet = edition.sheets["OT-11"]
    assert (sheet.path, sheet.workings, sheet.changed_in) == (
        "sheets/OT-11.pdf", "workings/OT-11.json", "2026",
    )  # fmt: skip


def test_a_record_is_not_changed_by_its_migration():
    record = json.loads((FROZEN / "schema-1" / "edition.json").read_bytes())
    before = json.dumps(record)
    assert migrated(record, schema=1, to=2)["schema"] == 2
    assert json.dumps(record) == before


def test_sheets_of_an_earlier_edition_by_site():
    earlier = earlier_sheets(FROZEN / "schema-2")
    assert sorted(earlier) == ["OT-02", "OT-11"]
    assert earlier["OT-02"].edition == "2026"


@pytest.fixture
def spoilt(tmp_path):
    """A frozen record with something of it changed; gives the one line that reading it ends with."""

    def spoil(**changes):
        record = json.loads((FROZEN / f"schema-{SCHEMA}" / "edition.json").read_bytes())
        (tmp_path / "edition.json").write_text(json.dumps(record | changes), encoding="utf-8")
        return told(tmp_path)

    return spoil


def told(place):
    with pytest.raises(InputFaults) as refused:
        read_edition(place)
    return str(refused.value).replace(str(place), "OLD")


AGAIN = "print that edition again, or name another folder"
PAGE = {"label": "Cover", "kind": "around", "path": "binder.pdf", "hash": "0" * 64}


@pytest.mark.parametrize(
    ("changes", "text"),
    [
        (
            {"schema": 3},
            (
                "the edition's schema is newer than this program; got 3; allowed: up to 2;"
                " install a newer release"
            ),
        ),
        ({"schema": "two"}, f'the record\'s schema is no number; got "two"; {AGAIN}'),
        ({"schema": True}, f"the record's schema is no number; got true; {AGAIN}"),
        ({"pages": None}, f"the record lists no pages; {AGAIN}"),
        ({"pages": [PAGE, PAGE]}, f'a page stands twice in the record; got "Cover"; {AGAIN}'),
        (
            {"pages": [PAGE | {"path": "../../etc/passwd"}]},
            f'path leads out of the edition; got "../../etc/passwd"; {AGAIN}',
        ),
        ({"pages": [PAGE | {"hash": "f00"}]}, f'a page\'s hash is none; got "f00"; {AGAIN}'),
        ({"pages": ["Cover"]}, f'a page is none; got "Cover"; {AGAIN}'),
        ({"as_of": "yesterday"}, f'as_of is no day; got "yesterday"; {AGAIN}'),
        ({"county": "A\x1b[31m"}, f'county is no text; got "A\\u001b[31m"; {AGAIN}'),
        ({"policy": {}}, f"the record has no policy; {AGAIN}"),
        ({"policy": {"values": {"a.b": 1}}}, f"the policy value a.b is none; got 1; {AGAIN}"),
    ],
)
def test_a_damaged_record_ends_in_one_line(spoilt, changes, text):
    assert spoilt(**changes) == f"OLD/edition.json: {text}"


@pytest.mark.parametrize("content", ["", "{", "[" * 100_000, "\x00"])
def test_what_is_no_json_ends_in_one_line(tmp_path, content):
    (tmp_path / "edition.json").write_text(content, encoding="utf-8")
    assert told(tmp_path) == f"OLD/edition.json: the record is no JSON text; {AGAIN}"


def test_a_folder_that_is_no_edition_or_not_there(tmp_path):
    assert told(tmp_path) == (
        "OLD/edition.json: the folder is no edition; name a folder that the command binder wrote"
    )
    assert told(tmp_path / "gone") == "OLD/edition.json: there is no such edition; name an edition's folder"
