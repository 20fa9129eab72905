"""`resurvey` end to end: forms printed, filled by a second library as a tablet would, and read back."""

import json
import shutil
from datetime import date
from pathlib import Path

import pytest
from pypdf import PdfReader, PdfWriter

from atlas.caches import read_county
from atlas.survey import read_sites

TODAY = "2027-05-01"
LATER = date(2028, 1, 1)
DAY = {"access/surveyed": "2027-04-12"}


def filled(form, entries, target):
    """A form with entries, as a tablet writes it."""
    writer = PdfWriter(clone_from=form)
    for page in writer.pages:
        own = {
            name: value
            for name, value in entries.items()
            if any(annotation.get_object().get("/T") == name for annotation in page.get("/Annots", ()))
        }
        if own:
            writer.update_page_form_field_values(page, own, auto_regenerate=False)
    writer.write(target)
    return target


@pytest.fixture
def read_back(cli):
    def read(entries, *more, site="OT-02"):
        form = filled(f"forms/{site}-form.pdf", entries, "filled.pdf")
        return cli("resurvey", "--read", form, "--county", "flats", "--as-of", TODAY, *more)

    return read


SURVEY = Path("flats/surveys/rivers.geojson")
NEW = Path("flats/surveys/rivers.geojson.new")


def features(path):
    return json.loads(path.read_bytes())["features"]


def test_a_form_has_last_years_values_and_a_box_for_each(printed):
    reader = PdfReader(printed / "forms" / "OT-02-form.pdf")
    text = " ".join(" ".join(page.extract_text().split()) for page in reader.pages)
    for told in (
        "Cottonwood Ford",
        "2026-04-14",
        "County road 9, gate",
        "N1 near track tree",
        "3.4 m",
        "1.2 m",
    ):
        assert told in text
    boxes = reader.get_fields()
    for name in (
        "access/width",
        "anchor/2/height",
        "anchor/2/gone",
        "flow/seconds_3",
        "new/1/place",
        "photo/1",
    ):
        assert not boxes[name].get("/V")
    assert boxes["anchor/2/condition"]["/Opt"] == ["", "good", "fair", "poor", "do_not_use"]


def test_a_round_trip_changes_what_was_filled_and_nothing_else(read_back):
    before = features(SURVEY)
    ran = read_back(
        DAY | {"access/road": "County road 9, gate code 4711", "anchor/2/note": "hollow at the foot"}
    )
    assert ran.code == 0, ran.err
    assert ran.lines == [
        "OT-02 surveyed: 2026-04-14 to 2027-04-12",
        "OT-02 road: County road 9, gate to County road 9, gate code 4711",
        "OT-02 N1 note: - to hollow at the foot",
        str(NEW),
    ]
    after = features(NEW)
    assert features(SURVEY) == before
    touched = [number for number, (one, other) in enumerate(zip(before, after, strict=True)) if one != other]
    assert touched == [0, 1]
    assert after[0]["properties"] == before[0]["properties"] | {
        "surveyed": "2027-04-12", "road": "County road 9, gate code 4711",
    }  # fmt: skip
    assert after[1]["properties"] == before[1]["properties"] | {"note": "hollow at the foot"}


def test_what_is_written_beside_is_no_survey_until_it_is_put_in_place(read_back, cli):
    read_back(DAY)
    ran = cli("check", "--county", "flats")
    assert (ran.code, ran.out) == (0, "no faults; 3 sites read\n")


def test_replace_keeps_a_backup_and_never_writes_one_over(read_back, cli):
    first = SURVEY.read_bytes()
    ran = read_back(DAY, "--replace")
    assert ran.err == f"the old survey is kept as {SURVEY}.bak\n"
    assert Path(f"{SURVEY}.bak").read_bytes() == first
    assert features(SURVEY)[0]["properties"]["surveyed"] == "2027-04-12"
    second = SURVEY.read_bytes()
    cli("resurvey", "OT-02", "--county", "flats", "--out", ".", "--as-of", TODAY)
    ran = read_back({"access/surveyed": "2027-04-13"}, "--replace")
    assert ran.err == f"the old survey is kept as {SURVEY}.bak-2\n"
    assert Path(f"{SURVEY}.bak-2").read_bytes() == second
    assert Path(f"{SURVEY}.bak").read_bytes() == first


def sites_of(path):
    shutil.copy(path, SURVEY)
    read = read_county(Path("flats"))
    return {
        site.code: site
        for site in read_sites(read.survey_files, county=read.county, agency_codes=None, as_of=LATER).sites
    }


def test_numbers_take_the_unit_beside_their_box_and_another_where_it_is_written(read_back):
    """US feet as printed, and metres said: 20 ft is 6.096 m exactly."""
    heights = {f"anchor/{number}/height": "11" for number in range(2, 7)}
    ran = read_back(
        DAY | heights | {"access/stage": "4.0", "access/near_run": "20", "anchor/2/height": "3.5 m"}
    )
    assert ran.code == 0, ran.err
    site = sites_of(NEW)["OT-02"]
    assert site.access.near_run_m == pytest.approx(6.096)
    assert site.access.stage_m == pytest.approx(1.2192)
    assert [anchor.height_m for anchor in site.anchors] == pytest.approx([3.5, *[11 * 0.3048] * 4])


def test_a_float_timing_becomes_a_flow_note_by_the_least_time(read_back):
    """100 ft in 12.5 s at best: 30.48 m / 12.5 s = 2.438 m/s."""
    floats = {
        "flow/distance": "100",
        "flow/seconds_1": "13",
        "flow/seconds_2": "12.5",
        "flow/seconds_3": "14 s",
    }
    ran = read_back(DAY | floats | {"flow/stage": "1.4 m", "flow/note": "after rain"})
    assert ran.code == 0, ran.err
    notes = features(NEW)[0]["properties"]["flow_notes"]
    assert notes[:-1] == features(SURVEY)[0]["properties"]["flow_notes"]
    assert notes[-1] == {
        "date": "2027-04-12", "stage": "1.4 m", "surface_speed": 2.438,
        "note": "after rain; floats over 30.5 m in 13, 12.5, 14 s",
    }  # fmt: skip
    assert len(sites_of(NEW)["OT-02"].access.flow_notes) == 2


def test_an_anchor_that_is_gone_a_new_one_and_a_value_taken_out(read_back):
    before = features(SURVEY)
    new = {
        "new/1/bank": "near", "new/1/use": "up_down", "new/1/tag": "N9", "new/1/kind": "tree",
        "new/1/height": "10", "new/1/diameter": "20", "new/1/place": "41.74993, -101.24999",
    }  # fmt: skip
    ran = read_back(DAY | new | {"anchor/6/gone": "yes", "access/road": "-"})
    assert ran.code == 0, ran.err
    after = features(NEW)
    assert "OT-02 N3: there to gone" in ran.lines
    assert before[5] not in after
    assert "road" not in after[0]["properties"]
    assert after[-1] == {
        "type": "Feature",
        "geometry": {"type": "Point", "coordinates": [-101.24999, 41.74993]},
        "properties": {
            "site": "OT-02", "role": "anchor", "tag": "N9", "bank": "near", "use": "up_down", "kind": "tree",
            "height": "10 ft", "diameter": "20 in",
        },
    }  # fmt: skip
    assert {anchor.tag for anchor in sites_of(NEW)["OT-02"].anchors} == {"N1", "N2", "F1", "F2", "N9"}


def test_photo_points_go_to_the_notes(read_back):
    read_back(DAY | {"photo/1": "from N1 toward F1", "photo/2": "strainer below"})
    assert features(NEW)[0]["properties"]["notes"] == "photos 2027-04-12: from N1 toward F1, strainer below"


def test_a_form_without_entries_changes_nothing(read_back):
    ran = read_back({})
    assert (ran.code, ran.out) == (0, "nothing is filled in that differs: no survey is changed\n")
    assert not NEW.exists()


FORM = "filled.pdf, OT-02"
CLEAR = "fill these too, or clear its boxes"
NEW_FERRY = {"new/2/bank": "near", "new/2/use": "ferry", "new/2/height": "9"}
FLOATS = {"flow/distance": "100", "flow/seconds_1": "12", "flow/seconds_2": "12", "flow/seconds_3": "12"}


@pytest.mark.parametrize(
    ("entries", "told"),
    [
        (
            {"access/road": "new"},
            (f"{FORM}, surveyed: the form has entries and no day;"
            " write the day of the survey, like 2027-04-12"),
        ),
        (
            {"access/surveyed": "2025-04-12"},
            (f"{FORM}, surveyed: the day is before that of the last survey, 2026-04-14; got 2025-04-12;"
            " write the day on which the form was filled"),
        ),
        (
            DAY | {"anchor/2/height": "11"},
            (f"{FORM}, F1, N2, F2, N3: some heights are new, and heights of the last survey would be over"
            " another day's water; measure every tie height, or leave stage and"
            " heights as they were"),
        ),
        (
            DAY | {"access/stage": "4"},
            (f"{FORM}, N1, F1, N2, F2, N3: the stage of the day is new, and heights of the last survey"
            " would be over another day's water; measure every tie height, or leave stage and"
            " heights as they were"),
        ),
        (
            DAY | {f"anchor/{number}/height": "11" for number in range(2, 7)},
            (f"{FORM}, stage: tie heights are new, and the stage of that day is not told;"
            " read the gauge, or write last year's stage if the water stood as high"),
        ),
        (
            DAY | {"anchor/2/gone": "yes", "anchor/2/note": "cut down"},
            f"{FORM}, note: N1 is marked as gone and has entries; clear the mark or the entries",
        ),
        (
            DAY | {"flow/distance": "100", "flow/seconds_1": "12"},
            (f"{FORM}, seconds_2, seconds_3: the float timing is half filled: it takes the paced distance and"
            f" three floats; {CLEAR}"),
        ),
        (
            DAY | {"flow/stage": "4"},
            (f"{FORM}, surface_speed: the river's entries have no speed;"
            " time three floats, write the speed of the fastest thread, or clear the boxes"),
        ),
        (
            DAY | FLOATS | {"flow/surface_speed": "3"},
            (f"{FORM}, surface_speed: the speed of the fastest thread contradicts the floats;"
            " got 3 mph, and 2.54 m/s by the floats; keep the one that was measured well"),
        ),
        (
            DAY | FLOATS | {"flow/seconds_2": "fast"},
            f"{FORM}, seconds_2: these are no seconds; got fast; write like 12.5",
        ),
        (
            DAY | {"new/1/bank": "near"},
            f"{FORM}, use, height, place: new anchor 1 is half filled; {CLEAR}",
        ),
        (
            DAY | NEW_FERRY | {"new/2/place": "by the oak"},
            (f"{FORM}, new anchor 2, lat, lon: this is no place; got by the oak;"
            " write decimal degrees, like 30.2021, -140.2317"),
        ),
    ],
)  # fmt: skip
def test_half_filled_and_contradictory_forms_get_one_clear_message(read_back, entries, told):
    ran = read_back(entries)
    assert (ran.code, ran.out) == (1, "")
    assert ran.err == f"{told}\nnothing was written\n"
    assert not NEW.exists()


def test_entries_are_checked_as_any_survey_is(read_back):
    ran = read_back(DAY | {"access/near_run": "fifty feet"})
    assert (ran.code, ran.err.splitlines()[-1]) == (1, "nothing was written")
    assert ran.err.startswith(f"{SURVEY} as updated, feature 1, OT-02, near_run: ")
    assert "fifty feet" in ran.err
    assert not NEW.exists()


def test_a_day_to_come_is_refused_by_the_surveys_own_check(read_back):
    ran = read_back({"access/surveyed": "2031-01-01"})
    assert ran.code == 1
    assert ran.err.startswith(f"{SURVEY} as updated, feature 1, OT-02, surveyed: ")


def refused(cli, path):
    ran = cli("resurvey", "--read", path, "--county", "flats", "--as-of", TODAY)
    assert (ran.code, ran.out) == (3, "")
    assert not NEW.exists()
    line, end = ran.err.splitlines()
    assert end == "nothing was written"
    return line


def test_a_foreign_pdf_and_what_is_none(cli):
    writer = PdfWriter()
    writer.add_blank_page(612, 792)
    writer.write("foreign.pdf")
    assert refused(cli, "foreign.pdf") == (
        "foreign.pdf: this PDF is no survey form of ours, or its boxes were flattened;"
        " fill a form that the command resurvey printed"
    )
    again = "save the form again on the tablet and send it anew"
    Path("cut.pdf").write_bytes(b"%PDF-1.4 cut off")
    assert refused(cli, "cut.pdf") == f"cut.pdf: this is no PDF, or a damaged one; {again}"
    writer.encrypt("secret")
    writer.write("locked.pdf")
    assert refused(cli, "locked.pdf") == "locked.pdf: the PDF is locked with a password; save it without"
    assert (
        refused(cli, "gone.pdf")
        == "gone.pdf: the file cannot be read: no such file or directory; check the path"
    )


def rewrite(path, old, new):
    text = Path(path).read_text(encoding="utf-8")
    assert old in text
    Path(path).write_text(text.replace(old, new), encoding="utf-8")


def test_a_form_of_another_edition_county_or_survey(cli):
    form = filled("forms/OT-02-form.pdf", DAY, "filled.pdf")
    again = "print the forms again and copy the entries"
    rewrite("flats/county.toml", 'edition = "2026"', 'edition = "2027"')
    assert refused(cli, form) == (
        f"filled.pdf: the form is of another edition than the county's, which is 2027; got 2026; {again}"
    )
    rewrite("flats/county.toml", 'edition = "2027"', 'edition = "2026"')
    rewrite(SURVEY, "Cottonwood Ford", "Cottonwood Bar")
    assert (
        refused(cli, form)
        == f"filled.pdf: the survey of OT-02 was changed after the form was printed; {again}"
    )
    rewrite(SURVEY, "OT-02", "OT-03")
    assert refused(cli, form) == f"filled.pdf: no survey has the form's site; got OT-02; {again}"
    rewrite("flats/county.toml", "Otter Flats County", "Marsh County")
    assert (
        refused(cli, form)
        == "filled.pdf: the form is of another county; got Otter Flats County; name its folder"
    )


def test_two_forms_of_one_site_are_not_both_taken(cli):
    one = filled("forms/OT-02-form.pdf", DAY, "one.pdf")
    ran = cli("resurvey", "--read", one, one, "--county", "flats", "--as-of", TODAY)
    assert ran.err.splitlines()[0] == (
        "the files together, OT-02: several of the files change surveyed; read one of them"
    )
    assert not NEW.exists()


def test_read_without_a_file_is_2(cli):
    ran = cli("resurvey", "--read", "--county", "flats")
    assert (ran.code, ran.err) == (2, "--read takes the forms or tracks to read; name at least one\n")
