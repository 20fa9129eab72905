"""A good survey of one invented site, to be spoilt by each test in its own way.

The track line runs due east over a river that flows due south, so the near bank, to the west, is the
right one. Offsets in metres are put on the globe as a plane: over 60 m that is exact to a millimetre.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import date
from math import cos, radians
from pathlib import Path

import pytest

from atlas.records import County, Reach
from atlas.survey import SurveyResult, read_sites

LON, LAT = -101.25, 41.75
"""On the plains, where no named river runs."""
AS_OF = date(2026, 6, 1)
COUNTY = County(
    folder="invented",
    name="Invented County",
    issued=AS_OF,
    edition="2026",
    paper="letter",
    units="us",
    reaches=(Reach("OT", "Otter Flats", "Otter River"), Reach("MS", "Mill Stretch", "Mill Creek")),
    invented=True,
)
AGENCIES = frozenset({"VFD", "SAR"})


def at(east_m: float, north_m: float) -> list[float]:
    """Longitude and latitude of a place beside the near track anchor."""
    lat = LAT + north_m / 111_073.0
    return [round(LON + east_m / (111_320.0 * cos(radians(LAT))), 8), round(lat, 8)]


def feature(geometry_type: str, coordinates: object, **properties: object) -> dict:
    return {
        "type": "Feature",
        "geometry": {"type": geometry_type, "coordinates": coordinates},
        "properties": {"site": "OT-01", **properties},
    }


def good_survey() -> dict:
    """Features 1 to 8: access, near and far track anchor, both edges, work area, danger, post."""
    return {
        "type": "FeatureCollection",
        "schema": 1,
        "features": [
            feature(
                "Point", at(-20, 10), role="access", name="Ford at the cottonwoods", reach="OT", agency="VFD",
                surveyed="2025-08-14", near_bank="right", stage=1.2, width="118 ft",
                flow_notes=[{"date": "2025-08-14", "stage": 1.2, "surface_speed": "4 mph", "width": 36}],
            ),
            feature("Point", at(0, 0), role="anchor", bank="near", use="track", tag="N1", kind="tree",
                    diameter="18 in", height=2.4, rating="40 kN"),
            feature("Point", at(42, 0), role="anchor", bank="far", use="track, ferry", tag="F1", kind="tree",
                    diameter=0.5, height=2.8),
            feature("LineString", [at(3, 40), at(3, -60)], role="edge", bank="near"),
            feature("LineString", [at(39, 40), at(39, -60)], role="edge", bank="far"),
            feature("Point", at(21, -12), role="work_area"),
            feature("LineString", [at(10, -80), at(30, -80)], role="danger", kind="strainer",
                    note="cottonwood"),
            feature("Point", at(-5, 60), role="post", post="upstream_spotter"),
        ],
    }  # fmt: skip


def spoil(survey: dict, edits: dict[str, object]) -> None:
    """Apply edits to a survey.

    ``1.width`` is a property of feature 1, ``1 geometry`` and ``1 coordinates`` are what they say, `add`
    appends a feature, `repeat` one that is there, `remove` takes out; anything else is a member of the
    whole. The value "<gone>" deletes.
    """
    features = survey["features"]
    for key, value in edits.items():
        number, dot, name = key.partition(".")
        if dot and number.isdecimal():
            _put(features[int(number) - 1]["properties"], name, value)
        elif key.endswith(" geometry"):
            features[int(key.split()[0]) - 1]["geometry"] = value
        elif key.endswith(" coordinates"):
            features[int(key.split()[0]) - 1]["geometry"]["coordinates"] = value
        elif key == "add":
            features.append(value)
        elif key == "repeat":
            features.append(json.loads(json.dumps(features[value - 1])))
        elif key == "remove":
            features[:] = [one for place, one in enumerate(features, start=1) if place not in value]
        else:
            _put(survey, key, value)


def _put(members: dict, name: str, value: object) -> None:
    if value == "<gone>":
        del members[name]
    else:
        members[name] = value


@dataclass
class Reading:
    """Reads what a test made of a survey."""

    folder: Path

    def write(self, content: object, name: str = "a.geojson") -> Path:
        path = self.folder / name
        text = content if isinstance(content, (str, bytes)) else json.dumps(content)
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
        return path

    def __call__(self, *contents: object, agencies=AGENCIES, county=COUNTY) -> SurveyResult:
        names = [f"{letter}.geojson" for letter in "abcdefg"]
        return self.files(
            *[self.write(content, name) for content, name in zip(contents, names, strict=False)],
            agencies=agencies,
            county=county,
        )

    def files(self, *paths: Path, agencies=AGENCIES, county=COUNTY) -> SurveyResult:
        return read_sites(
            paths, county=county, agency_codes=agencies, as_of=AS_OF, shown=lambda path: path.name
        )


@pytest.fixture
def survey() -> dict:
    return good_survey()


@pytest.fixture
def spoilt():
    """A good survey with edits applied."""

    def make(**edits: object) -> dict:
        content = good_survey()
        spoil(content, edits)
        return content

    return make


@pytest.fixture
def read(tmp_path) -> Reading:
    return Reading(tmp_path)
