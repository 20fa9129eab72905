import pytest

from atlas.caches import read_county
from atlas.faults import Severity


def told(found):
    return [(fault.severity, fault.code, str(fault)) for fault in found.faults]


def test_no_such_folder(county):
    assert told(read_county(county.parent.joinpath("elder").relative_to(county.parent))) == [
        (
            Severity.FILE,
            "county_missing",
            "elder: there is no such county folder; name another folder, or make one with reach-atlas start",
        )
    ]


def test_a_file_in_place_of_the_folder(county):
    (county.parent / "elder").write_text("")
    assert told(read_county(county.parent / "elder"))[0][:2] == (Severity.FILE, "county_missing")


@pytest.mark.parametrize(
    ("text", "code", "tail"),
    [
        (None, "file_missing", "the file is not there; put it back or name another folder"),
        ("", "file_empty", "the file is empty; fetch the file again"),
        (
            "schema = 1\n= 2\n",
            "not_toml",
            "line 2 is not TOML: this line begins with no key and no table; got = 2; mend the line",
        ),
        (
            'schema = 1\nname = "Ald',
            "file_cut",
            (
                'the file ends in the middle of an entry, at line 2: is it cut off?; got name = "Ald; '
                "complete the entry, or fetch the whole file again"
            ),
        ),
        (
            "name = 1\n",
            "schema_missing",
            "the file does not say its schema; write schema = 1 as its first line",
        ),
        (
            "schema = 2\n",
            "schema_newer",
            "the file is of a newer schema than this version reads; got 2; use a newer reach-atlas",
        ),
    ],
    ids=["missing", "empty", "no toml", "cut", "schema missing", "newer"],
)
@pytest.mark.parametrize("name", ["county.toml", "caches.toml"])
def test_a_file_that_cannot_be_read_leaves_the_other(county, read, name, text, code, tail):
    (county / name).unlink()
    if text is not None:
        (county / name).write_text(text)
    found = read()
    assert told(found) == [(Severity.FILE, code, f"alder/{name}: {tail}")]
    assert (found.county is None) is (name == "county.toml")
    assert (found.agencies == ()) is (name == "caches.toml")
    assert len(found.survey_files) == 1


def test_no_folder_of_surveys(county, read):
    (county / "surveys" / "ot.geojson").unlink()
    (county / "surveys").rmdir()
    found = read()
    assert told(found) == [
        (
            Severity.FILE,
            "surveys_missing",
            "alder/surveys: the county has no folder of surveys; make it and put the survey files in",
        )
    ]
    assert found.county is not None


def test_no_surveys(county, read):
    (county / "surveys" / "ot.geojson").rename(county / "surveys" / "ot.gpx")
    found = read()
    assert told(found) == [
        (
            Severity.WARNING,
            "survey_not_read",
            (
                "alder/surveys/ot.gpx: files of this kind are not read as surveys; got .gpx; "
                "allowed: .geojson, .gpkg, .kml, .json; "
                "export it as GeoJSON or GeoPackage, or put it elsewhere"
            ),
        ),
        (
            Severity.FILE,
            "surveys_none",
            (
                "alder/surveys: the folder holds no survey; allowed: .geojson, .gpkg, .kml, .json; "
                "put the survey files in"
            ),
        ),
    ]
    assert found.survey_files == ()


def test_what_is_named_like_a_survey_and_is_no_file(county, read):
    """Its sites would be missing without a word."""
    (county / "surveys" / "ms.geojson").symlink_to("gone.geojson")
    (county / "surveys" / "wen.gpkg").mkdir()
    found = read()
    assert told(found) == [
        (
            Severity.FILE,
            "survey_no_file",
            (
                f"alder/surveys/{name}: named like a survey, and there is no file behind it; got {got}; "
                "put the survey file in its place, or take it away"
            ),
        )
        for name, got in (
            ("ms.geojson", "a link that leads nowhere"),
            ("wen.gpkg", "a folder or something else"),
        )
    ]
    assert [path.name for path in found.survey_files] == ["ot.geojson"]
