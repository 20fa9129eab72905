import pytest

from atlas.caches import read_county

COUNTY = """
schema = 1
name = "Río Alder County"
issued = 2026-11-20
edition = "2026"
paper = "a4"
units = "si"
invented = true

[[reach]]
code = "OT"
name = "Otter, upper"
river = "Otter River"

[[reach]]
code = "KF"
name = "Kettle Fork"
river = "Kettle Fork"

[[background]]
name = "roads"
file = "background/roads.geojson"
kind = "road"

[gauges]
online = false
features = "https://water.example/ogc/v1/"
flood = "http://flood.example:8080/v1"
daily_years = 12

[[gauges.gauge]]
name = "OT G1"
location = "XYZ-01234567"
flood = "ABCD1"
sites = { "OT-01" = "same section", "OT-02" = 1.1 }

[[gauges.gauge]]
name = "KF G1"
location = "XYZ-7"

[policy]
"limits.factor_track" = 7
limits.boats_pass_under = true
capture.default = 4.5
"""

CACHES = """
schema = 1

[[agency]]
code = "NFD"
name = "Northside Fire"
station = [-77.125, 38.9]
minutes = { OT = 12, KF = "0.5 h" }
crew = { rigging = 6, boat_operator = 2 }
radio = "channel 3"

[[agency.rope]]
name = "Red 200"
length = "200 ft"
diameter = "12.5 mm"
kind = "static"
fibre = "nylon"
strength = "9000 lbf"
elongation = "4 %"
elongation_basis = "10pct"
mass = "104 g/m"
count = 2
since = 2024-05-01

[[agency.rope]]
name = "Yellow 60"
length = 60
diameter = 0.008
kind = "floating"
fibre = "polypropylene"
strength = 9000
elongation = 18
elongation_basis = "50-150kg"
mass = 0.028
since = "2019-03-31"
retired = true

[[agency.gear]]
item = "pulley"
count = 6
rating = "22 kN"

[[agency.gear]]
item = "knife"
count = 0

[[agency.boat]]
name = "raft 14 ft"

[[agency.launcher]]
kind = "hand_bag"
reach = "50 ft"

[[agency]]
code = "E-2"
name = "Eastbank"
minutes = { KF = 0 }
"""

ITEMS = frozenset({"pulley", "knife", "rope_grab_general"})


@pytest.fixture
def county(tmp_path, monkeypatch):
    """A county in order, in a folder called alder; the tests go there, so faults name it shortly."""
    monkeypatch.chdir(tmp_path)
    folder = tmp_path / "alder"
    (folder / "surveys").mkdir(parents=True)
    (folder / "background").mkdir()
    (folder / "background" / "roads.geojson").write_text("{}")
    (folder / "surveys" / "ot.geojson").write_text("{}")
    (folder / "county.toml").write_text(COUNTY, encoding="utf-8")
    (folder / "caches.toml").write_text(CACHES, encoding="utf-8")
    return folder


@pytest.fixture
def read(county):
    """Read the county, by its short path."""

    def read_now(gear_items=ITEMS):
        return read_county(county.relative_to(county.parent), gear_items=gear_items)

    return read_now


@pytest.fixture
def change(county):
    """Change one text of a file of the county; it must stand there once."""

    def change_now(name, old, new):
        path = county / name
        text = path.read_text(encoding="utf-8")
        assert text.count(old) == 1, old
        path.write_text(text.replace(old, new), encoding="utf-8")

    return change_now
