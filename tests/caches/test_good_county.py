from datetime import date
from pathlib import Path

import pytest

from atlas.caches import read_county
from atlas.cover import pieces_of
from atlas.records import (
    Agency,
    Background,
    Boat,
    County,
    CrewCount,
    GaugeName,
    GaugeRelation,
    GaugeServices,
    GearStock,
    Launcher,
    Reach,
    RopeStock,
    TravelTime,
)

# exact: 1 lbf = 4.4482216152605 N, 1 ft = 0.3048 m, gravity 9.80665 m/s2 (NIST SP 811; value from memory)
RED = RopeStock(
    name="Red 200",
    length_m=60.96,
    diameter_m=0.0125,
    kind="static",
    fibre="nylon",
    strength_n=9000 * 4.4482216152605,
    elongation=0.04,
    elongation_basis="10pct",
    weight_n_m=pytest.approx(0.104 * 9.80665, rel=1e-15),
    count=2,
    since=date(2024, 5, 1),
    retired=False,
)
YELLOW = RopeStock(
    name="Yellow 60",
    length_m=60.0,
    diameter_m=0.008,
    kind="floating",
    fibre="polypropylene",
    strength_n=9000.0,
    elongation=0.18,
    elongation_basis="50-150kg",
    weight_n_m=pytest.approx(0.028 * 9.80665, rel=1e-15),
    count=1,
    since=date(2019, 3, 31),
    retired=True,
)
NFD = Agency(
    code="NFD",
    name="Northside Fire",
    station=(-77.125, 38.9),
    minutes=(TravelTime("OT", 12.0), TravelTime("KF", 30.0)),
    crew=(CrewCount("rigging", 6), CrewCount("boat_operator", 2)),
    radio="channel 3",
    ropes=(RED, YELLOW),
    gear=(GearStock("pulley", 6, 22e3), GearStock("knife", 0, None)),
    boats=(Boat("raft 14 ft", 1),),
    launchers=(Launcher("hand_bag", 15.24),),
)
EASTBANK = Agency(
    code="E-2",
    name="Eastbank",
    station=None,
    minutes=(TravelTime("KF", 0.0),),
    crew=(),
    radio=None,
    ropes=(),
    gear=(),
    boats=(),
    launchers=(),
)
ALDER = County(
    folder="alder",
    name="Río Alder County",
    issued=date(2026, 11, 20),
    edition="2026",
    paper="a4",
    units="si",
    reaches=(Reach("OT", "Otter, upper", "Otter River"), Reach("KF", "Kettle Fork", "Kettle Fork")),
    backgrounds=(Background("roads", "background/roads.geojson", "road"),),
    policy_overrides=(
        ("limits.factor_track", 7),
        ("limits.boats_pass_under", True),
        ("capture.default", 4.5),
    ),
    invented=True,
    gauges=GaugeServices(
        online=False,
        features_url="https://water.example/ogc/v1",
        flood_url="http://flood.example:8080/v1",
        daily_years=12,
        gauges=(
            GaugeName(
                "OT G1",
                "XYZ-01234567",
                "ABCD1",
                (
                    GaugeRelation("OT-01", 1.0, same_section=True),
                    GaugeRelation("OT-02", 1.1, same_section=False),
                ),
            ),
            GaugeName("KF G1", "XYZ-7"),
        ),
    ),
)


def test_everything_a_county_says_is_in_its_records(read):
    found = read()
    assert found.faults == ()
    assert found.county == ALDER
    assert found.agencies == (NFD, EASTBANK)
    assert found.survey_files == (Path("alder/surveys/ot.geojson"),)


def test_what_is_read_is_what_is_covered_with(read):
    assert [(piece.name, piece.index) for piece in pieces_of(read().agencies)] == [
        ("Red 200", 1),
        ("Red 200", 2),
    ]


def test_the_least_a_county_may_say(county, read):
    (county / "county.toml").write_text(
        'schema = 1\nname = "A"\nedition = "1"\nreach = [{ code = "OT", name = "Otter", river = "Otter" }]\n'
    )
    (county / "caches.toml").write_text(
        'schema = 1\nagency = [{ code = "N", name = "North", minutes = { OT = 1 } }]\n'
    )
    found = read()
    assert found.faults == ()
    assert found.county == County(
        folder="alder",
        name="A",
        issued=None,
        edition="1",
        paper="letter",
        units="us",
        reaches=(Reach("OT", "Otter", "Otter"),),
    )


def test_any_item_passes_where_no_items_are_given(change, read):
    change("caches.toml", 'item = "knife"', 'item = "winch"')
    found = read(gear_items=None)
    assert found.faults == ()
    assert found.agencies[0].gear[1].item == "winch"


def test_accents_are_composed_and_spaces_are_single(change, read):
    change("county.toml", "Río Alder County", "Ri\u0301o\u00a0 Alder\\t County ")
    found = read()
    assert found.faults == ()
    assert found.county.name == "Río Alder County"


def test_an_issued_date_as_text(change, read):
    change("county.toml", "issued = 2026-11-20", 'issued = "2026-11-20"')
    assert read().county == ALDER


def test_a_folder_given_as_a_dot_has_its_own_name(county, monkeypatch):
    monkeypatch.chdir(county)
    assert read_county(Path()).county.folder == "alder"
    monkeypatch.chdir(county / "surveys")
    assert read_county(Path("..")).county.folder == "alder"


def test_surveys_come_by_name_and_hidden_ones_do_not(county, read):
    for name in (
        "B.GeoJSON",
        "a.json",
        "c.kml",
        "Z.gpkg",
        ".#a.json",
        "._b.geojson",
        "notes.txt",
        "photo.jpg",
    ):
        (county / "surveys" / name).write_text("{}")
    (county / "surveys" / "older").mkdir()
    found = read()
    assert found.faults == ()
    assert [path.name for path in found.survey_files] == [
        "B.GeoJSON",
        "Z.gpkg",
        "a.json",
        "c.kml",
        "ot.geojson",
    ]
