"""What is computed for one site: one frozen `SitePlan`, in SI and unrounded.

Sheets, workings and the binder print from these and compute nothing of their own.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from atlas.cover import Comer
from atlas.faults import NoSolution
from atlas.frame import Point, SiteFrame
from atlas.plan.rig_results import CoverPlan, Note, RigPlan, Take
from atlas.plan.track_results import TrackLineRig
from atlas.records import Agency, County, LonLat, PostKind, Reach, RopeStock, Site
from atlas.water import RiverModel


@dataclass(frozen=True, slots=True)
class Caution:
    """A caution: ``signal`` is DANGER, WARNING, CAUTION or NOTICE (ANSI Z535.4)."""

    signal: str
    text: str
    code: str


@dataclass(frozen=True, slots=True)
class Assumed:
    """A value the survey did not give: what was taken instead, and on whose word."""

    code: str
    value: float | None
    unit: str
    source: str


@dataclass(frozen=True, slots=True)
class LimitUsed:
    """A limit of the agency's policy that took part in the verdict, in SI."""

    key: str
    value: float
    unit: str
    source: str


@dataclass(frozen=True, slots=True)
class PostPlan:
    """A surveyed place with its distance from the track line."""

    kind: PostKind
    place: LonLat
    at: Point
    downstream_m: float
    """Positive below the track line, negative above [m]."""
    note: str | None


@dataclass(frozen=True, slots=True)
class SitePlan:
    """One site, computed."""

    site: Site
    county: County
    reach: Reach
    agency: Agency
    """First due; where the site's own is committed elsewhere, the soonest of the others."""
    as_of: date
    edition: str
    valid_until: date
    overdue: bool
    frame: SiteFrame
    access_place: LonLat
    near_tie_place: LonLat
    far_tie_place: LonLat
    rigs: tuple[RigPlan, ...]
    posts: tuple[PostPlan, ...]
    cautions: tuple[Caution, ...]
    warnings: tuple[Note, ...]
    assumed: tuple[Assumed, ...]
    limits_used: tuple[LimitUsed, ...]
    comers: tuple[Comer, ...] = ()
    """Agencies that can come, the first due first, the others by minutes."""
    without: tuple[str, ...] = ()
    """Codes of agencies that were left out as if committed elsewhere."""
    river: RiverModel | None = None
    """The water the rows were made from; None in a plan that was put together without it."""

    @property
    def chosen(self) -> RigPlan:
        """The rig the sheet prints in full."""
        return next(rig for rig in self.rigs if rig.chosen)

    def stock(self, take: Take) -> RopeStock:
        """The entry of a cache that a rope is taken from."""
        return next(
            rope
            for comer in self.comers
            for rope in comer.agency.ropes
            if (comer.agency.code, rope.name) == (take.agency, take.rope)
        )

    @property
    def cover(self) -> CoverPlan:
        """Who is called for the chosen rig."""
        cover = self.chosen.cover
        if cover is None:
            raise NoSolution(f"site {self.site.code}: the rig chosen was not covered")
        return cover

    @property
    def track_line(self) -> TrackLineRig:
        """The rig with a carriage on a track line."""
        return next(rig for rig in self.rigs if isinstance(rig, TrackLineRig))
