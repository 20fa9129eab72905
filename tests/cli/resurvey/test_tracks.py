"""Tie points and edges from a handheld GPS, read into the surveys."""

import json
from pathlib import Path

import pytest

TODAY = "2027-05-01"
SURVEY = Path("flats/surveys/rivers.geojson")
NEW = Path("flats/surveys/rivers.geojson.new")


def features(path):
    return json.loads(path.read_bytes())["features"]


GPX = """<?xml version="1.0" encoding="UTF-8"?>
<gpx version="1.1" creator="handheld" xmlns="http://www.topografix.com/GPX/1/1">
{}
</gpx>"""
KML = """<?xml version="1.0" encoding="UTF-8"?>
<kml xmlns="http://www.opengis.net/kml/2.2"><Document>{}</Document></kml>"""


def wpt(name, place):
    return f'<wpt lat="{place[1]}" lon="{place[0]}"><ele>900</ele><name>{name}</name></wpt>'


def trk(name, places):
    points = "".join(f'<trkpt lat="{lat}" lon="{lon}"/>' for lon, lat in places)
    return f"<trk><name>{name}</name><trkseg>{points}</trkseg></trk>"


def mark(name, shape, places):
    told = " ".join(f"{lon},{lat},900" for lon, lat in places)
    return f"<Placemark><name>{name}</name><{shape}><coordinates>{told}</coordinates></{shape}></Placemark>"


def track(cli, name, text):
    Path(name).write_text(text, encoding="utf-8")
    return cli("resurvey", "--read", name, "--county", "flats", "--as-of", TODAY)


def test_gpx_moves_a_tie_point_and_an_edge(cli, county_maker):
    """The far tie 2 m farther; the far edge anew."""
    tie = county_maker.at(38.0, 0.0)
    edge = [county_maker.at(32.5, 40), county_maker.at(32.0, -10), county_maker.at(32.5, -60)]
    ran = track(cli, "day.gpx", GPX.format(wpt("OT-02 far track", tie) + trk("ot-02 Far Edge", edge)))
    assert ran.code == 0, ran.err
    before, after = features(SURVEY), features(NEW)
    assert [n for n, (one, other) in enumerate(zip(before, after, strict=True)) if one != other] == [2, 7]
    assert after[2]["geometry"] == {"type": "Point", "coordinates": tie}
    assert after[7]["geometry"] == {"type": "LineString", "coordinates": edge}
    assert ran.lines[0].startswith("OT-02 far track: 41.750000, -101.249567 to 41.750000, -101.2495")
    assert ran.lines[0].endswith(", moved 2.0 m")
    assert ran.lines[1] == "OT-02 far edge: 2 points to 3 points"


def test_kml_does_the_same_and_adds_what_the_survey_lacks(cli, county_maker):
    tie, ferry = county_maker.at(0.5, 0.0), county_maker.at(37.0, 9.0)
    places = mark("OT-02 near track", "Point", [tie]) + mark(
        "MS-1 near up-down", "Point", [county_maker.at(1.0, -9.0, (-101.25, 41.77))]
    )
    ran = track(cli, "day.kml", KML.format(places + mark("OT-02 far ferry", "Point", [ferry])))
    assert ran.code == 0, ran.err
    after = features(NEW)
    assert after[1]["geometry"]["coordinates"] == tie
    assert after[4]["geometry"]["coordinates"] == ferry
    assert [line.split(":")[0] for line in ran.lines[:3]] == [
        "OT-02 near track", "MS-1 near up_down", "OT-02 far ferry",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("name", "text", "code", "told"),
    [
        (
            "bomb.gpx",
            '<!DOCTYPE a [<!ENTITY b "c">]>' + GPX.format("").split("?>")[1],
            3,
            "bomb.gpx: the file declares a document type, which no track has; export it again",
        ),
        (
            "file.kml",
            '<!DOCTYPE a [<!ENTITY b SYSTEM "file:///etc/passwd">]><kml><name>&b;</name></kml>',
            3,
            "file.kml: the file declares a document type, which no track has; export it again",
        ),
        (
            "cut.gpx",
            "<gpx><wpt",
            3,
            "cut.gpx: this is no XML: unclosed token: line 1, column 5; export it again",
        ),
        ("deep.gpx", "<a>" * 100, 3, "deep.gpx: this is no XML: nested too deep; export it again"),
        (
            "none.gpx",
            GPX.format(""),
            3,
            "none.gpx: the file holds no waypoint, route or track; export it again",
        ),
        (
            "home.gpx",
            GPX.format(wpt("Truck", (-101.2, 41.7))),
            1,
            (
                "home.gpx: this name says of no tie point or edge; got Truck; allowed: a name like OT-03 near"
                " track (near or far; track, ferry, up-down or edge); name it so, or take it out of the file"
            ),
        ),
        (
            "far.gpx",
            GPX.format(wpt("OT-77 near track", (-101.2, 41.7))),
            1,
            "far.gpx: no survey has this site; got OT-77 near track; check the code",
        ),
        (
            "nan.gpx",
            GPX.format(wpt("OT-02 near track", ("NaN", 41.7))),
            1,
            "nan.gpx: its place is no longitude and latitude; got OT-02 near track; export it again",
        ),
        (
            "dot.gpx",
            GPX.format(wpt("OT-02 near edge", (-101.2, 41.7))),
            1,
            (
                "dot.gpx: an edge is a track of two points or more, a tie point one point;"
                " got OT-02 near edge; measure it again"
            ),
        ),
        (
            "two.gpx",
            GPX.format(wpt("OT-02 near track", (-101.25, 41.75)) * 2),
            1,
            "two.gpx: the same tie point or edge stands twice; got OT-02 near track; keep one",
        ),
    ],
)
def test_tracks_that_say_nothing_or_too_much(cli, name, text, code, told):
    ran = track(cli, name, text)
    assert (ran.code, ran.out) == (code, "")
    assert ran.err == f"{told}\nnothing was written\n"
    assert not NEW.exists()


def test_a_tie_point_somewhere_else_is_refused_by_the_surveys_own_check(cli):
    ran = track(cli, "lost.gpx", GPX.format(wpt("OT-02 far track", (-100.0, 41.75))))
    assert ran.code == 1
    assert ran.err.splitlines()[-1] == "nothing was written"
    assert not NEW.exists()
