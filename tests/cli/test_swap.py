"""`swap` end to end: two editions of the small county, a checklist and the pages to print."""

import json

import pytest
from pypdf import PdfReader


@pytest.fixture(scope="module")
def two_editions(tmp_path_factory, county_maker, run_alone):
    """This year's, and next year's: one site measured anew and wider, one gone, one new."""
    folder = tmp_path_factory.mktemp("turn")
    county = county_maker.write_county(folder / "flats")
    run_alone("binder", "--county", county, "--out", folder)
    toml = county / "county.toml"
    text = toml.read_text(encoding="utf-8").replace("2026-06-01", "2026-07-01")
    toml.write_text(text.replace('edition = "2026"', 'edition = "2026-b"'), encoding="utf-8")
    survey = county / "surveys" / "rivers.geojson"
    features = [
        feature
        for feature in json.loads(survey.read_bytes())["features"]
        if feature["properties"]["site"] != "MS-1"
    ]
    for feature in features:
        if (feature["properties"]["site"], feature["properties"].get("tag")) == ("OT-02", "F1"):
            feature["geometry"]["coordinates"] = county_maker.at(38.0, 0.0)
    features += county_maker.site("MS-3", name="New Weir", span_m=26.0, place=(-101.25, 41.79))
    survey.write_text(json.dumps(county_maker.collection(features)), encoding="utf-8")
    run_alone("binder", "--county", county, "--out", folder, "--since", folder / "flats-2026")
    return folder


@pytest.fixture(scope="module")
def swapped(two_editions, run_alone):
    return run_alone(
        "swap", two_editions / "flats-2026", two_editions / "flats-2026-b", "--out", two_editions / "out"
    )


def test_the_list_is_the_result_and_the_files_are_named(swapped, two_editions):
    assert swapped.code == 0
    *listed, checklist, pages = swapped.out.splitlines()
    turned = [line.split(":")[0] for line in listed]
    assert turned[:7] == [
        "REPLACE Cover", "REPLACE Contents", "REPLACE Map", "REPLACE OT-02 Cottonwood Ford",
        "REPLACE Map MS", "TAKE OUT MS-1 Mill Weir", "PUT IN MS-3 New Weir",
    ]  # fmt: skip
    assert all(line.startswith("REPLACE ") for line in turned[7:]), "pages of the whole county"
    # 36 and 38 m as drawn in the survey, up to the next foot
    assert ": span 119 to 125 ft; " in listed[3]
    assert checklist == f"{two_editions}/out/swap-2026-2026-b.pdf"
    assert pages == f"{two_editions}/out/swap-2026-2026-b-print.pdf"


def test_the_print_file_holds_only_what_goes_in(swapped, two_editions):
    reader = PdfReader(swapped.out.splitlines()[-1])
    assert reader.page_labels[:6] == ["Cover", "Contents", "Map", "OT-02", "Map MS", "MS-3"]
    assert not {"OT-10", "MS-1", "How to read", "Map OT"} & set(reader.page_labels)
    new = PdfReader(two_editions / "flats-2026-b" / "sheets" / "OT-02.pdf")
    assert reader.pages[3].extract_text() == new.pages[0].extract_text()


def test_the_checklist_says_it_all_on_paper(swapped):
    text = " ".join(
        " ".join(page.extract_text().split()) for page in PdfReader(swapped.out.splitlines()[-2]).pages
    )
    assert "Edition 2026 to edition 2026-b" in text
    assert "Take out 1, put in 1, replace " in text
    assert "To print: 2 to laminate, " in text
    assert "OT-10" not in text.replace("behind OT-10", "")


def test_an_edition_held_against_itself(run_alone, two_editions):
    same = two_editions / "flats-2026"
    ran = run_alone("swap", same, same, "--out", two_editions / "same")
    assert ran.out.splitlines()[0] == (
        "No page reads differently: nothing is to be taken out, put in or replaced."
    )
    assert [path.name for path in (two_editions / "same").iterdir()] == ["swap-2026-2026.pdf"]


def test_what_is_no_edition_is_3(run_alone, two_editions):
    ran = run_alone("swap", two_editions / "flats", two_editions / "flats-2026", "--out", two_editions / "x")
    assert (ran.code, ran.out) == (3, "")
    assert ran.err.splitlines()[0] == (
        f"{two_editions}/flats/edition.json: the folder is no edition;"
        " name a folder that the command binder wrote"
    )
