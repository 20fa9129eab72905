"""All features of one site, read one by one and then looked at together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Final

from atlas.frame import FrameProblem, site_frame
from atlas.records import Danger, LonLat, Post, Site, WorkArea
from atlas.survey.access import SurveyedAccess, read_access
from atlas.survey.anchors import SurveyedAnchor, check_track_choice, read_anchor, tagged
from atlas.survey.known import Known
from atlas.survey.place import distance_km, exchanged
from atlas.survey.properties import Role
from atlas.survey.raw import RawFeature
from atlas.survey.report import Report, nearest
from atlas.survey.surroundings import Edge, read_dangers, read_edge, read_post, read_work_areas
from atlas.units import shown_raw

__all__ = ["Draft", "check_frame", "read_draft"]

_FARTHEST_KM: Final = 50.0
"""From the access to anything that belongs to the site, a helicopter's landing place included."""


@dataclass(slots=True)
class Draft:
    """One site of one file while it is being read.

    Attributes
    ----------
    places : number of each feature beside the access, and every point of it
    numbers : role -> numbers of its features in the file
    framed : everything the site's geometry is computed from could be read
    """

    code: str
    file: str
    accesses: list[SurveyedAccess] = field(default_factory=list)
    anchors: list[SurveyedAnchor] = field(default_factory=list)
    edges: list[Edge] = field(default_factory=list)
    work_areas: list[WorkArea] = field(default_factory=list)
    dangers: list[Danger] = field(default_factory=list)
    posts: list[Post] = field(default_factory=list)
    places: list[tuple[int, list[LonLat]]] = field(default_factory=list)
    numbers: dict[Role, list[int]] = field(default_factory=dict)
    framed: bool = True

    @property
    def place(self) -> LonLat | None:
        """Where the access is."""
        record = self.accesses[0].record if self.accesses else None
        return None if record is None else record.place

    @property
    def name(self) -> str | None:
        """The site's name, where it could be read."""
        return self.accesses[0].name if self.accesses else None

    def site(self) -> Site | None:
        """The site as far as it was read; whole only where no fault was found."""
        record = self.accesses[0].record if self.accesses else None
        if record is None:
            return None
        return Site(
            code=self.code,
            file=self.file,
            access=record,
            anchors=tuple(anchor.record for anchor in self.anchors),
            edges=tuple(self.edges),
            work_areas=tuple(self.work_areas),
            dangers=tuple(self.dangers),
            posts=tuple(self.posts),
        )


def read_draft(
    code: str, features: Sequence[RawFeature], report: Report, known: Known, *, placed: bool
) -> Draft:
    """Read all features of one site and check them against each other, all but `check_frame`.

    Parameters
    ----------
    code : the site's
    features : all that name it, in the order of the file
    report : at the site
    known : reaches and agencies
    placed : the file's coordinates are worth looking at
    """
    draft = Draft(code, report.file)
    for feature in features:
        _read_feature(draft, feature, report.at(feature=feature.number), known, placed=placed)
    _check_accesses(draft, report)
    draft.anchors = list(tagged(draft.anchors, report))
    check_track_choice(draft.anchors, report)
    if placed:
        _check_together(draft, report)
    return draft


def _role(feature: RawFeature, report: Report) -> Role | None:
    raw = feature.properties.get("role")
    known = [role.value for role in Role]
    if isinstance(raw, str) and raw in known:
        return Role(raw)
    like = nearest(raw, known) if isinstance(raw, str) else None
    here = report.at(field="role")
    todo = f"was '{like}' meant?" if like else "choose one of these"
    if raw is None:
        here.error("role_missing", "the feature has no role", allowed=", ".join(known), todo=todo)
    else:
        here.error("role_unknown", "unknown role", got=shown_raw(raw), allowed=", ".join(known), todo=todo)
    return None


def _read_feature(draft: Draft, feature: RawFeature, report: Report, known: Known, *, placed: bool) -> None:
    """Read one feature into the draft by its role."""
    role = _role(feature, report)
    if role is None:
        draft.framed = False
        return
    draft.numbers.setdefault(role, []).append(feature.number)
    mark = len(report.faults)
    if role is Role.ACCESS:
        draft.accesses.append(read_access(feature, report, known, placed=placed))
        draft.framed &= draft.accesses[-1].framed
    else:
        places = _read_beside(role, draft, feature, report, placed=placed)
        draft.places += [(feature.number, places)] if places else []
    if role in {Role.ANCHOR, Role.EDGE, Role.WORK_AREA} and report.errors_since(mark):
        draft.framed = False


def _read_beside(
    role: Role, draft: Draft, feature: RawFeature, report: Report, *, placed: bool
) -> list[LonLat]:
    """Read a feature beside the access into the draft; all places in it."""
    places: list[LonLat] = []
    if role is Role.ANCHOR and (anchor := read_anchor(feature, report, placed=placed)):
        draft.anchors.append(anchor)
        places.append(anchor.record.place)
    elif role is Role.EDGE and (edge := read_edge(feature, report, placed=placed)):
        draft.edges.append(edge)
        places += edge[1]
    elif role is Role.WORK_AREA:
        areas = read_work_areas(feature, report, placed=placed)
        draft.work_areas += areas
        places += [place for area in areas for part in area.shape.parts for place in part]
    elif role is Role.DANGER:
        dangers = read_dangers(feature, report, placed=placed)
        draft.dangers += dangers
        places += [place for danger in dangers for part in danger.shape.parts for place in part]
    elif role is Role.POST and (post := read_post(feature, report, placed=placed)):
        draft.posts.append(post)
        places.append(post.place)
    return places


def _check_accesses(draft: Draft, report: Report) -> None:
    """One access makes a site."""
    if not draft.accesses:
        report.error(
            "access_missing",
            "the site has no access feature",
            allowed="one feature with role access",
            todo="add it, or correct the site code of the others",
        )
    for extra in draft.accesses[1:]:
        report.at(feature=extra.number).error(
            "duplicate_access",
            "the site has more than one access feature",
            got=f"features {draft.accesses[0].number} and {extra.number}",
            allowed="one feature with role access",
            todo="remove one, or give it a site code of its own",
        )


def _check_together(draft: Draft, report: Report) -> None:
    """Every feature of a site lies near its access."""
    access = draft.place
    if access is None:
        return
    for number, places in draft.places:
        farthest = max(places, key=lambda place: distance_km(place, access))
        if distance_km(farthest, access) > _FARTHEST_KM:
            draft.framed = False
            _tell_far(farthest, access, report.at(feature=number, field="geometry"))


def _tell_far(place: LonLat, access: LonLat, report: Report) -> None:
    if distance_km(exchanged(place), access) <= _FARTHEST_KM:
        report.error(
            "coordinates_swapped",
            "longitude and latitude are exchanged",
            got=f"{place[0]:.8g}, {place[1]:.8g}",
            allowed="longitude first, then latitude, in degrees",
            todo="exchange the two numbers of each coordinate",
        )
    else:
        report.error(
            "far_from_access",
            "the feature lies far from its site's access",
            got=f"{distance_km(place, access):.0f} km",
            allowed=f"at most {_FARTHEST_KM:.0f} km",
            todo="correct its place or its site code",
        )


def check_frame(draft: Draft, report: Report) -> None:
    """Put a site into its own metres: track anchors, flow, edges, width and reach-down agree.

    Not asked where what the geometry rests on is faulty: the answer would only mislead.
    """
    site = draft.site()
    if site is None or not draft.framed or len(draft.accesses) > 1:
        return
    frame = site_frame(site)
    if isinstance(frame, tuple):
        for problem in frame:
            _tell_problem(problem, draft, report)


def _tell_problem(problem: FrameProblem, draft: Draft, report: Report) -> None:
    numbers = draft.numbers.get(Role(problem.role), [])
    here = report.at(feature=numbers[0] if len(numbers) == 1 else None, field=problem.field)
    here.error(problem.code, problem.what, got=problem.got, allowed=problem.allowed, todo=problem.todo)
