"""A county of generated sites that try the page: every span, rig, crowd and length of text a survey may hold.

All of it is invented, from one seed. Each site draws on its own, so that the first forty of a hundred and
fifty are the same forty.
"""

import json
from math import cos, radians
from pathlib import Path

import numpy as np

LON, LAT = -101.9, 41.2
"""On the plains, where no named river runs."""
GOLDEN = 0.6180339887
"""Its multiples spread evenly over the spans, however few sites there are."""
RIGS = ("movable-control-point", "four-line-tether", "two-line-tether", None)
KINDS = (
    "tree",
    "mooring_ring",
    "vehicle",
    "boulder",
    "deadman",
    "picket_holdfast",
    "bridge_abutment_ringbolt",
)
DANGERS = ("strainer", "low_head_dam", "bridge_pier", "undercut", "debris", "power_line", "barbed_wire_fence")
POSTS = (
    "staging", "command", "launch", "landing", "take_out", "upstream_spotter", "downstream_safety", "medical",
    "helicopter",
)  # fmt: skip
SHORT_NAME, LONG_NAME = (
    "Elm Ford",
    "Upper Wetherfold Meadows Old Ferry Landing below the Confluence Picnic Ground",
)
ROAD = "County road 9 north to the gravel pit, then the second gate on the left past the red barn, 2.3 km"
FAR_ACCESS = "Over the bridge 4 km upriver, farm track along the levee, gate locked with the county's key"
MEDICAL = "Ambulance meets at the upper lot; hospital at the county seat, 35 minutes by road"
PERMISSION = "Landowner is rung before any drill; stock in the far meadow from May to October"
DAM = {"name": "Upper Wetherfold dam", "phone": "555-0100", "travel_min": 45}
NOTE = "log jam across two thirds of the channel at low water"
EXTRA_GEAR = 23
"""Items a county adds to the seventeen of the shipped rigs."""
ROPES = (
    ("Static 300", 92, 1, 12.5, "static", "nylon", 40, 4, 104),
    ("Static 200", 61, 1, 12.5, "static", "nylon", 40, 4, 104),
    ("Floating 250", 76, 2, 11, "floating", "polypropylene", 21, 8, 70),
    ("Floating 400", 122, 1, 11, "floating", "polypropylene", 21, 8, 70),
    ("Messenger 400", 122, 1, 8, "floating", "polypropylene", 9, 10, 35),
)


class Plot:
    """One site's ground: x across from the near track anchor, y downriver, both in metres."""

    def __init__(self, code, origin, *, near_right):
        self.code, self.origin, self.side = code, origin, 1 if near_right else -1
        self.features = []

    def at(self, across_m, down_m):
        lon, lat = self.origin
        east_m = self.side * across_m
        north = lat - down_m / 111_073.0
        return [round(lon + east_m / (111_320.0 * cos(radians(lat))), 8), round(north, 8)]

    def put(self, role, shape, *points, **properties):
        places = [self.at(*point) for point in points]
        kind = {"point": "Point", "line": "LineString", "area": "Polygon"}[shape]
        coordinates = {"point": places[0], "line": places, "area": [[*places, places[0]]]}[shape]
        known = {name: value for name, value in properties.items() if value is not None}
        geometry = {"type": kind, "coordinates": coordinates}
        self.features.append(
            {
                "type": "Feature",
                "geometry": geometry,
                "properties": {"site": self.code, "role": role, **known},
            }
        )


def flow_notes(random, span_m, width_m):
    count = int(random.integers(1, 7))
    discharge = np.sort(random.uniform(4.0, 90.0, count))
    stage = 0.35 * discharge**0.38
    width = np.minimum(width_m * (discharge / discharge[0]) ** 0.1, span_m - 1.0)
    speed = random.uniform(0.4, 0.95) * discharge**0.24
    return [
        {
            "date": f"202{number}-05-1{number}",
            "stage": round(float(stage[number]), 3),
            "discharge": round(float(discharge[number]), 2),
            "surface_speed": round(float(speed[number]), 3),
            "width": round(float(width[number]), 2),
            "depth": round(float(stage[number] + 0.3), 2),
        }
        for number in range(count)
    ]


def anchors(random, plot, span_m, tags):
    """Three to ten: two for the track line, the rest as they come, of one use or several."""

    def put(bank, use, across_m, down_m):
        far = bank == "far"
        plot.put(
            "anchor", "point", (across_m, down_m), bank=bank, use=use, tag=tags.pop(0),
            kind=str(random.choice(KINDS)), diameter=round(float(random.uniform(0.25, 1.3)), 2),
            height=round(float(random.uniform(1.4 if far else 2.0, 4.5)), 2),
            rating="60 kN" if random.random() < 0.4 else None,
            condition="do_not_use" if use != "track" and random.random() < 0.2 else None,
            note="leans over the water" if random.random() < 0.3 else None,
        )  # fmt: skip

    put("near", "track", 0.0, 0.0)
    put("far", "track", span_m, 0.0)
    for _ in range(int(random.integers(1, 9))):
        bank = str(random.choice(["near", "far"]))
        back_m = random.uniform(0.2, 6.0)
        across_m = -back_m if bank == "near" else span_m + back_m
        use = str(random.choice(["ferry", "up_down", "ferry,up_down", "ferry"]))
        down_m = random.uniform(4.0, 12.0) if use == "up_down" else -random.uniform(3.0, 0.3 * span_m + 5.0)
        put(bank, use if bank == "near" else "ferry", across_m, down_m)


def survey(number, *, reach, agencies):
    """Features of one site."""
    random = np.random.default_rng([20260601, number])
    chance = random.random
    span_m = round(12.0 * 10 ** (number * GOLDEN % 1.0), 2)
    width_m = span_m * random.uniform(0.5, 0.85)
    edge_m = (span_m - width_m) / 2
    long = chance() < 0.4
    plot = Plot(
        f"{reach}-{number + 1:02d}", (LON, LAT + 0.006 * number), near_right=bool(random.integers(0, 2))
    )
    notes = flow_notes(random, span_m, width_m)
    rig = RIGS[number % len(RIGS)]
    plot.put(
        "access", "point", (-20.0, -10.0),
        name=LONG_NAME if long else SHORT_NAME, reach=reach,
        agency=f"A{int(random.integers(0, agencies)):02d}", surveyed="2026-04-14",
        near_bank="right" if plot.side > 0 else "left", stage=notes[0]["stage"], rig=rig,
        lock_off="tied_off" if chance() < 0.5 else "device",
        road=ROAD if long else "County road 9, gate",
        far_access=FAR_ACCESS if chance() < 0.7 else None,
        far_minutes=int(random.integers(3, 95)) if chance() < 0.8 else None,
        near_run=round(float(random.uniform(4, 60)), 1) if chance() < 0.7 else None,
        launch_method=str(random.choice(["hand_bag", "slingshot", "pneumatic", "boat", "swimmer"])),
        dam=DAM if chance() < 0.4 else None,
        radio="TAC 5, county fire ground, repeater at the water tower" if long else "TAC 5",
        medical=MEDICAL if chance() < 0.6 else None, permission=PERMISSION if chance() < 0.6 else None,
        dangers=["cold water", "stock fence at the far bank"] if chance() < 0.5 else None,
        water=str(random.choice(["cold", "mild"])) if chance() < 0.7 else None,
        notes="Parking for six." if chance() < 0.5 else None,
        flow_notes=notes,
    )  # fmt: skip
    long_tags = chance() < 0.15
    tags = [f"OAK-WEST-{letter}" if long_tags else f"{letter}{number % 9 + 1}" for letter in "NFABCDEGHJKL"]
    anchors(random, plot, span_m, tags)
    for bank, across_m in (("near", edge_m), ("far", span_m - edge_m)):
        plot.put("edge", "line", (across_m, -60.0 - span_m), (across_m, 80.0 + span_m), bank=bank)
    down_m = random.uniform(5.0, min(40.0, 6.0 + 0.5 * span_m))
    middle_m = edge_m + width_m * random.uniform(0.35, 0.65)
    half_m = 0.18 * width_m
    if chance() < 0.5:
        plot.put("work_area", "point", (middle_m, down_m))
    else:
        corners = ((-1, -0.3), (1, -0.3), (1, 0.3), (-1, 0.3))
        plot.put(
            "work_area", "area",
            *((middle_m + half_m * x, down_m + 6.0 * y) for x, y in corners),
        )  # fmt: skip
    for _ in range(int(random.integers(1, 13))):
        x_m, y_m = edge_m + width_m * random.uniform(0.0, 1.0), random.uniform(-30.0, 120.0)
        kind, note = str(random.choice(DANGERS)), NOTE if chance() < 0.5 else None
        if chance() < 0.3:
            plot.put("danger", "line", (x_m, y_m), (x_m + 0.3 * width_m, y_m + 4.0), kind=kind, note=note)
        else:
            plot.put("danger", "point", (x_m, y_m), kind=kind, note=note)
    for post in random.permutation(POSTS)[: int(random.integers(0, 11))]:
        far = chance() < 0.3
        x_m = span_m + random.uniform(1.0, 20.0) if far else -random.uniform(1.0, 30.0)
        note = "two with throw bags, behind the rope" if chance() < 0.4 else None
        plot.put("post", "point", (x_m, random.uniform(-60.0, 200.0)), post=str(post), note=note)
    return plot.features


def county_toml(reach):
    return (
        'schema = 1\nname = "Tried County"\nissued = 2026-06-01\nedition = "2026"\ninvented = true\n'
        f'paper = "letter"\n\n[[reach]]\ncode = "{reach}"\nname = "Elm Ford to Heron Weir"\n'
        'river = "Elm River"\n'
    )


def caches_toml(reach, agencies, gear):
    """Agencies of whom some have ropes, all of them too short for the widest rivers."""
    text = "schema = 1\n"
    for number in range(agencies):
        text += (
            f'\n[[agency]]\ncode = "A{number:02d}"\nname = "Wetherfold Volunteer Fire and Rescue {number}"\n'
            f'minutes = {{ {reach} = {8 + 7 * number} }}\nradio = "TAC {number}"\n'
        )
        for item in gear[number % 3 :: 3]:
            text += f'\n[[agency.gear]]\nitem = "{item}"\ncount = {number % 4}\n'
        for name, length, count, diameter, kind, fibre, strength, elongation, mass in ROPES[number % 4 :]:
            text += (
                f'\n[[agency.rope]]\nname = "{name}"\nlength = {length}\ndiameter = "{diameter} mm"\n'
                f'kind = "{kind}"\nfibre = "{fibre}"\nstrength = "{strength} kN"\n'
                f'elongation = "{elongation} %"\nelongation_basis = "10pct"\nmass = "{mass} g/m"\n'
                f"count = {count}\nsince = 2024-03-01\n"
            )
    return text


def write_templates(folder, shipped):
    """The shipped rigs with forty items of gear, as a county would write them; returns the items added."""
    added = [f"team_item_{number:02d}" for number in range(EXTRA_GEAR)]
    (folder / "rigs").mkdir(parents=True)
    (folder / "words").mkdir()
    gear = (shipped / "gear.toml").read_text(encoding="utf-8")
    (folder / "gear.toml").write_text(gear + "".join(f"[items.{item}]\n" for item in added), encoding="utf-8")
    rows = "".join(
        f'\n[[gear]]\nitem = "{item}"\ncount = {1 + 7 * number}\n' for number, item in enumerate(added)
    )
    for rig in sorted((shipped / "rigs").glob("*.toml")):
        (folder / "rigs" / rig.name).write_text(rig.read_text(encoding="utf-8") + rows, encoding="utf-8")
    names = "".join(
        f'{item} = "{"Bag" if number % 2 else "Heavy-duty inflatable fender, pair"} {number}"\n'
        for number, item in enumerate(added)
    )
    words = (shipped / "words" / "en.toml").read_text(encoding="utf-8")
    assert words.count("\n[gear]\n") == 1
    words = words.replace("\n[gear]\n", f"\n[gear]\n{names}")
    (folder / "words" / "en.toml").write_text(words, encoding="utf-8")
    return added


def write_fit_county(folder, *, sites, shipped, agencies=10, reach="TR"):
    """The county in a new folder; returns it. `shipped` is the folder of templates."""
    folder = Path(folder)
    (folder / "surveys").mkdir(parents=True)
    added = write_templates(folder / "templates", Path(shipped))
    (folder / "county.toml").write_text(county_toml(reach), encoding="utf-8")
    gear = ["carabiner", "sling", "pulley", "connector", "throw_bag", "knife", *added]
    (folder / "caches.toml").write_text(caches_toml(reach, agencies, gear), encoding="utf-8")
    features = [
        feature for number in range(sites) for feature in survey(number, reach=reach, agencies=agencies)
    ]
    collection = {"type": "FeatureCollection", "schema": 1, "features": features}
    (folder / "surveys" / f"{reach}.geojson").write_text(json.dumps(collection), encoding="utf-8")
    return folder
