"""A generated county of any size, for measuring: invented reaches, agencies and sites from one seed.

Track lines run due east over rivers that flow due south. Widths and speeds of the six notes a site follow
power laws of discharge with scatter; spans, heights and trees vary. ``python tests/bench/big_county.py
FOLDER [SITES] [REACHES] [AGENCIES]`` writes one.
"""

import json
import sys
from math import cos, radians
from pathlib import Path

import numpy as np

SEED = 20260601
LON, LAT = -101.9, 41.2
"""On the plains, where no named river runs."""
NAMES = ("Alder", "Birch", "Cedar", "Dogwood", "Elm", "Foundry", "Gravel", "Heron", "Iron", "Juniper")
ENDS = ("Ford", "Landing", "Bend", "Weir", "Ferry", "Bar", "Crossing", "Steps", "Point", "Mill")
GEAR = (
    ("rope_grab_general", 4, None), ("carabiner", 60, "45 kN"), ("sling", 60, "45 kN"),
    ("pulley", 30, "45 kN"), ("carriage_pulley", 3, "70 kN"), ("rigging_plate", 6, "45 kN"),
    ("connector", 60, "45 kN"),
    ("friction_device", 6, "30 kN"), ("releasable_link", 4, "30 kN"), ("edge_protection", 8, None),
    ("throw_bag", 20, None), ("knife", 30, None), ("light", 30, None), ("flotation", 30, None),
    ("helmet", 30, None), ("whistle", 30, None),
)  # fmt: skip
ROPES = (
    ("Static 300", 92, 2, 12.5, "static", "nylon", 40, 4, 104),
    ("Static 200", 61, 1, 12.5, "static", "nylon", 40, 4, 104),
    ("Floating 250", 76, 3, 11, "floating", "polypropylene", 21, 8, 70),
    ("Floating 400", 122, 1, 11, "floating", "polypropylene", 21, 8, 70),
    ("Messenger 400", 122, 1, 8, "floating", "polypropylene", 9, 10, 35),
)


def reach_codes(count):
    return [f"R{chr(65 + number // 26)}{chr(65 + number % 26)}" for number in range(count)]


def at(east_m, north_m, origin):
    lon, lat = origin
    north = lat + north_m / 111_073.0
    return [round(lon + east_m / (111_320.0 * cos(radians(lat))), 8), round(north, 8)]


def flow_notes(random, span_m):
    """Six notes over a tenfold range of discharge."""
    discharge = np.sort(random.uniform(6.0, 60.0, 6))
    stage = 0.35 * discharge**0.38
    width = np.minimum(0.42 * span_m * discharge**0.12, span_m - 3.0)
    speed = random.uniform(0.62, 0.78) * discharge**0.24
    scatter = np.exp(random.normal(0.0, 0.04, (2, 6)))
    return [
        {
            "date": f"202{number % 6}-0{4 + number % 5}-1{number}",
            "stage": round(float(stage[number]), 3),
            "discharge": round(float(discharge[number]), 2),
            "surface_speed": round(float(speed[number] * scatter[0, number]), 3),
            "width": round(float(min(width[number] * scatter[1, number], span_m - 2.0)), 2),
            "depth": round(float(stage[number] + 0.3), 2),
        }
        for number in range(6)
    ]


def site(random, code, name, agency, origin):
    """Features of one site; the near bank, to the west, is river right."""
    span_m = round(float(random.uniform(20.0, 46.0)), 2)
    tie_m = [round(float(height), 2) for height in random.uniform(2.8, 4.2, 5)]
    girth_m = [round(float(wide), 2) for wide in random.uniform(0.4, 0.9, 5)]
    notes = flow_notes(random, span_m)
    edge_m = (span_m - notes[2]["width"]) / 2
    far_m = span_m - edge_m

    def feature(geometry, coordinates, **properties):
        return {
            "type": "Feature",
            "geometry": {"type": geometry, "coordinates": coordinates},
            "properties": {"site": code, **properties},
        }

    def spot(east_m, north_m):
        return at(east_m, north_m, origin)

    anchors = (
        ("N1", "near", "track", 0.0, 0.0), ("F1", "far", "track", span_m, 0.0),
        ("N2", "near", "ferry", -1.0, 8.0), ("F2", "far", "ferry", span_m + 1.0, 8.0),
        ("N3", "near", "up_down", 1.0, -8.0),
    )  # fmt: skip
    return [
        feature(
            "Point", spot(-20, 10), role="access", name=name, reach=code.split("-")[0], agency=agency,
            surveyed="2026-04-14", near_bank="right", stage=notes[2]["stage"], road="County road 9, gate",
            far_access="Bridge 2 km upriver, farm track", far_minutes=14, near_run=25, radio="TAC 5",
            launch_method="slingshot", flow_notes=notes, rig="movable-control-point",
        ),
        *(
            feature(
                "Point", spot(x, y), role="anchor", bank=bank, use=use, tag=tag, kind="tree",
                diameter=girth_m[number], height=tie_m[number],
            )
            for number, (tag, bank, use, x, y) in enumerate(anchors)
        ),
        feature("LineString", [spot(edge_m, 40), spot(edge_m, -60)], role="edge", bank="near"),
        feature("LineString", [spot(far_m, 40), spot(far_m, -60)], role="edge", bank="far"),
        feature("Point", spot(span_m / 2, -14), role="work_area"),
        feature("Point", spot(span_m / 2 + 3, -70), role="danger", kind="strainer", note="log jam"),
        feature("Point", spot(-12, 2), role="post", post="staging"),
        feature("Point", spot(3, -90), role="post", post="downstream_safety"),
    ]  # fmt: skip


def county_toml(codes):
    head = (
        'schema = 1\nname = "Measured County"\nissued = 2026-06-01\nedition = "2026"\ninvented = true\n'
        'paper = "letter"\n'
    )
    reaches = (
        f'\n[[reach]]\ncode = "{code}"\nname = "{NAMES[number % 10]} {ENDS[number // 10 % 10]} reach"\n'
        f'river = "{NAMES[number % 10]} River"\n'
        for number, code in enumerate(codes)
    )
    return head + "".join(reaches)


def caches_toml(codes, agencies):
    text = "schema = 1\n"
    for number in range(agencies):
        minutes = ", ".join(f"{code} = {8 + (7 * number + 3 * at) % 50}" for at, code in enumerate(codes))
        text += (
            f'\n[[agency]]\ncode = "A{number:02d}"\nname = "{NAMES[number % 10]} Volunteer Fire {number}"\n'
            f'minutes = {{ {minutes} }}\nradio = "TAC {number}"\n'
        )
        for item, count, rating in GEAR:
            text += f'\n[[agency.gear]]\nitem = "{item}"\ncount = {count}\n'
            text += f'rating = "{rating}"\n' if rating else ""
        for name, length, count, diameter, kind, fibre, strength, elongation, mass in ROPES:
            text += (
                f'\n[[agency.rope]]\nname = "{name}"\nlength = {length}\ndiameter = "{diameter} mm"\n'
                f'kind = "{kind}"\nfibre = "{fibre}"\nstrength = "{strength} kN"\n'
                f'elongation = "{elongation} %"\nelongation_basis = "10pct"\nmass = "{mass} g/m"\n'
                f"count = {count}\nsince = 2024-03-01\n"
            )
    return text


def write_big_county(folder, *, sites=1000, reaches=50, agencies=20, seed=SEED):
    """The county in a new folder; returns it."""
    folder = Path(folder)
    random = np.random.default_rng(seed)
    codes = reach_codes(reaches)
    (folder / "surveys").mkdir(parents=True)
    (folder / "county.toml").write_text(county_toml(codes), encoding="utf-8")
    (folder / "caches.toml").write_text(caches_toml(codes, agencies), encoding="utf-8")
    for number, code in enumerate(codes):
        own = range(number, sites, reaches)
        features = [
            feature
            for place, index in enumerate(own)
            for feature in site(
                random,
                f"{code}-{place + 1:02d}",
                f"{NAMES[index % 10]} {ENDS[(index // 10) % 10]}",
                f"A{index % agencies:02d}",
                (LON + 0.06 * (number % 10), LAT + 0.006 * place + 0.16 * (number // 10)),
            )
        ]
        survey = {"type": "FeatureCollection", "schema": 1, "features": features}
        (folder / "surveys" / f"{code}.geojson").write_text(json.dumps(survey), encoding="utf-8")
    return folder


if __name__ == "__main__":
    where, *sizes = sys.argv[1:]
    write_big_county(where, **dict(zip(("sites", "reaches", "agencies"), map(int, sizes), strict=False)))
