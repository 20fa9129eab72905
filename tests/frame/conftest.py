"""A survey drawn in metres (x toward the far bank, y downstream) and put on the globe.

The way onto the globe is not the one under test: a transverse Mercator about the near tie point, turned
by the bearing of the current.
"""

from dataclasses import replace
from datetime import date
from math import cos, radians, sin

import pytest
from pyproj import Transformer

from atlas.records import (
    Access,
    Anchor,
    AnchorUse,
    Bank,
    NearBank,
    Post,
    PostKind,
    Shape,
    Site,
    WorkArea,
)

ORIGIN = (-101.25, 41.75)
"""On the plains, far from any named river."""


class Globe:
    """Metres of a drawing to longitude and latitude."""

    def __init__(self, origin=ORIGIN, downstream_deg=200.0, near_bank=NearBank.LEFT):
        self.origin = origin
        # facing downstream with the near bank on the left, the far bank is to the right
        self.x_deg = downstream_deg + (90.0 if near_bank is NearBank.LEFT else -90.0)
        self.y_deg = downstream_deg
        crs = f"+proj=tmerc +lat_0={origin[1]!r} +lon_0={origin[0]!r} +k=1 +ellps=WGS84"
        self._inverse = Transformer.from_crs(crs, "EPSG:4326", always_xy=True)

    def __call__(self, x, y):
        east = x * sin(radians(self.x_deg)) + y * sin(radians(self.y_deg))
        north = x * cos(radians(self.x_deg)) + y * cos(radians(self.y_deg))
        longitude, latitude = self._inverse.transform(east, north)
        return (longitude, latitude)

    def line(self, *points):
        return tuple(self(x, y) for x, y in points)


def make_anchor(place, tag, bank, *uses, height_m=2.0, do_not_use=False):
    return Anchor(
        tag=tag,
        bank=bank,
        uses=frozenset(uses),
        place=place,
        kind="tree",
        diameter_m=0.5,
        height_m=height_m,
        height_assumed=False,
        rating_n=None,
        do_not_use=do_not_use,
    )


def make_access(place, **said):
    nothing = dict.fromkeys(Access.__dataclass_fields__)
    basis = {
        **nothing,
        "place": place,
        "name": "Willow Bar",
        "reach": "OT",
        "agency": "north",
        "surveyed": date(2026, 5, 2),
        "river": "Otter",
        "tied_off": False,
        "dangers": (),
        "flow_notes": (),
        "near_bank": NearBank.LEFT,
    }
    return Access(**{**basis, **said})


def make_site(globe=None, **changes):
    """A 40 m span with 34 m of water: near edge at x = 2 + 0.1 y, far edge at x = 36 + 0.1 y."""
    globe = globe or Globe()
    access = changes.pop("access", {})
    site = Site(
        code="OT-03",
        file="survey.geojson",
        access=make_access(globe(-30.0, 5.0), **access),
        anchors=(
            make_anchor(globe(0.0, 0.0), "N1", Bank.NEAR, AnchorUse.TRACK, height_m=2.0),
            make_anchor(globe(40.0, 0.0), "F1", Bank.FAR, AnchorUse.TRACK, height_m=2.5),
        ),
        edges=(
            (Bank.NEAR, globe.line((-1.0, -30.0), (2.0, 0.0), (5.0, 30.0))),
            (Bank.FAR, globe.line((39.0, 30.0), (33.0, -30.0))),
        ),
        work_areas=(
            WorkArea(Shape("polygon", (globe.line((12.0, 5.0), (25.0, 5.0), (20.0, 22.0), (12.0, 5.0)),))),
        ),
        dangers=(),
        posts=(Post(PostKind.TAKE_OUT, globe(5.0, 300.0)),),
    )
    return replace(site, **changes)


@pytest.fixture(scope="session")
def survey():
    """Builders of surveys, by name."""

    class Survey:
        globe = Globe
        anchor = staticmethod(make_anchor)
        access = staticmethod(make_access)
        site = staticmethod(make_site)

    return Survey
