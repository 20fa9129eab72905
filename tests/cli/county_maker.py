"""A small invented county written to a folder: three sites that can be made, and ways to spoil it.

Track lines run due east over rivers that flow due south; offsets in metres are put on the globe as a
plane, which over 60 m is exact to a millimetre.
"""

import json
from math import cos, radians

LON, LAT = -101.25, 41.75
"""On the plains, where no named river runs."""

COUNTY = """\
schema = 1
name = "Otter Flats County"
issued = 2026-06-01
edition = "2026"
invented = true

[[reach]]
code = "OT"
name = "Otter Flats"
river = "Otter River"

[[reach]]
code = "MS"
name = "Mill Stretch"
river = "Mill Creek"
"""

CACHES = """\
schema = 1

[[agency]]
code = "VFD"
name = "Otter Flats Volunteer Fire"
minutes = { OT = 12, MS = 25 }
radio = "TAC 5"

[[agency.gear]]
item = "rope_grab_general"
count = 1

[[agency.gear]]
item = "carabiner"
count = 20
rating = "27 kN"

[[agency.gear]]
item = "sling"
count = 8
"""

ROPE = """
[[agency.rope]]
name = "{name}"
length = {length}
diameter = "{diameter} mm"
kind = "{kind}"
fibre = "{fibre}"
strength = "{strength} kN"
elongation = "{elongation} %"
elongation_basis = "10pct"
mass = "{mass} g/m"
count = {count}
since = 2024-03-01
"""


def ropes():
    static = {
        "diameter": 12.5,
        "kind": "static",
        "fibre": "nylon",
        "strength": 40,
        "elongation": 4,
        "mass": 104,
    }
    floating = {
        "diameter": 11, "kind": "floating", "fibre": "polypropylene", "strength": 21, "elongation": 8,
        "mass": 70,
    }  # fmt: skip
    thin = {
        "diameter": 8, "kind": "floating", "fibre": "polypropylene", "strength": 9, "elongation": 10,
        "mass": 35,
    }  # fmt: skip
    pieces = (
        {"name": "Static 300", "length": 92, "count": 2, **static},
        {"name": "Floating 250", "length": 76, "count": 3, **floating},
        {"name": "Floating 400", "length": 122, "count": 1, **floating},
        {"name": "Messenger 400", "length": 122, "count": 1, **thin},
    )
    return "".join(ROPE.format(**piece) for piece in pieces)


def at(east_m, north_m, origin=(LON, LAT)):
    lon, lat = origin
    north = lat + north_m / 111_073.0
    return [round(lon + east_m / (111_320.0 * cos(radians(lat))), 8), round(north, 8)]


def site(code, *, name, span_m=42.0, speed="3.5 mph", place=(LON, LAT)):
    """Features of one good site; the near bank, to the west, is river right."""

    def feature(geometry, coordinates, **properties):
        return {
            "type": "Feature",
            "geometry": {"type": geometry, "coordinates": coordinates},
            "properties": {"site": code, **properties},
        }

    def spot(east_m, north_m):
        return at(east_m, north_m, place)

    notes = [
        {
            "date": "2026-04-14",
            "stage": 1.2,
            "discharge": 40,
            "surface_speed": speed,
            "width": span_m - 8,
            "depth": 1.3,
        },
    ]
    anchors = (
        ("N1", "near", "track", 0.0, 0.0), ("F1", "far", "track", span_m, 0.0),
        ("N2", "near", "ferry", -1.0, 8.0), ("F2", "far", "ferry", span_m + 1.0, 8.0),
        ("N3", "near", "up_down", 1.0, -8.0),
    )  # fmt: skip
    return [
        feature(
            "Point", spot(-20, 10), role="access", name=name, reach=code.split("-")[0], agency="VFD",
            surveyed="2026-04-14", near_bank="right", stage=1.2, road="County road 9, gate", flow_notes=notes,
            rig="movable-control-point",
        ),
        *(
            feature(
                "Point", spot(x, y), role="anchor", bank=bank, use=use, tag=tag, kind="tree", diameter=0.6,
                height=3.4,
            )
            for tag, bank, use, x, y in anchors
        ),
        feature("LineString", [spot(4, 40), spot(4, -60)], role="edge", bank="near"),
        feature("LineString", [spot(span_m - 4, 40), spot(span_m - 4, -60)], role="edge", bank="far"),
        feature("Point", spot(span_m / 2, -14), role="work_area"),
        feature("Point", spot(-12, 2), role="post", post="staging"),
    ]  # fmt: skip


def good_sites():
    return [
        *site("OT-02", name="Cottonwood Ford", span_m=36.0),
        *site("OT-10", name="Señora Ávila Landing", place=(-101.25, 41.76)),
        *site("MS-1", name="Mill Weir", span_m=24.0, place=(-101.25, 41.77)),
    ]


def broken_site():
    """A tie height that is no number."""
    features = site("MS-2", name="Kiln Bend", place=(-101.25, 41.78))
    features[1]["properties"]["height"] = "tall"
    return features


def collection(features):
    return {"type": "FeatureCollection", "schema": 1, "features": features}


def write_county(folder, features=None):
    """The county in a folder; returns it."""
    (folder / "surveys").mkdir(parents=True)
    (folder / "county.toml").write_text(COUNTY, encoding="utf-8")
    (folder / "caches.toml").write_text(CACHES + ropes(), encoding="utf-8")
    survey = collection(good_sites() if features is None else features)
    (folder / "surveys" / "rivers.geojson").write_text(json.dumps(survey), encoding="utf-8")
    return folder
