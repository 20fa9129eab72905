"""A rig's template: its lines and the ropes that serve them, parts, hauls, gear, crew and cases."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from typing import Annotated, Literal, Self

from pydantic import Field, field_validator, model_validator

from atlas.settings.rig_kinds import KINDS
from atlas.settings.toml_file import Strict

Positive = Annotated[float, Field(gt=0)]
RopeKind = Literal["static", "low_stretch", "floating"]
HaulName = Literal["2:1", "3:1", "4:1", "6:1", "9:1"]
Counted = Literal[
    "anchor",
    "sling",
    "held_line",
    "bow_line",
    "haul_pulley",
    "bow_strand",
    "thrower",
    "bank",
    "person",
]
"""What is rigged and counted: anchors and stations in use, slings round them by kind and girth, lines in a
friction device, bow lines of a tether, pulleys of the haul, strands to the bow, people who throw, banks."""
Loaded = Literal["track", "tended", "pulley", "anchor"]
"""Greatest load at the planning stage: of the track line; of a tended or bow line; on a pulley of one; on an
anchor with a sling."""
EndName = Literal["figure_8", "butterfly", "bowline", "wraps", "device"]


def _twice(names: Iterable[str]) -> list[str]:
    """Names that stand more than once."""
    return [name for name, count in Counter(names).items() if count > 1]


class RopeRule(Strict):
    """A rope that serves a line, on sites up to `span_most_m`."""

    kinds: list[RopeKind]
    diameter_least_mm: Positive
    diameter_most_mm: Positive | None = None
    strength_least_kn: Positive
    span_most_m: Positive | None = None
    source: str


class LineRule(Strict):
    """One line of the rig; any of its ropes serves."""

    name: str
    end: EndName = "device"
    """Of the tended lines: how the line is made fast at the carriage."""
    rope: Annotated[list[RopeRule], Field(min_length=1)]

    @model_validator(mode="after")
    def _serves_every_span(self) -> Self:
        if self.rope[0].span_most_m is not None:
            raise ValueError("the first rope of a line serves every span: no span_most_m")
        return self


class PartRule(Strict):
    """A part of the track line, an item of the rig's gear: it stands the rope's tension, or the resultant.

    ``device_only``: it bears nothing where the line is tied off behind the progress capture.
    """

    name: str
    rating_kn: Positive
    stands: Literal["tension", "resultant"]
    device_only: bool = False
    source: str


class GearRule(Strict):
    """Pieces of one item: a count, and so many with each of what is rigged.

    ``rating_kn`` is the least rating; ``load`` names the load that may ask for more, its factor in it: the
    greater of both, up to the next class of gear.toml.
    """

    item: str
    count: Annotated[int, Field(ge=1)] | None = None
    per: Annotated[dict[Counted, Annotated[int, Field(ge=1)]], Field(default_factory=dict)]
    rating_kn: Positive | None = None
    load: Loaded | None = None

    @model_validator(mode="after")
    def _counts_something(self) -> Self:
        if self.count is None and not self.per:
            raise ValueError(f"gear {self.item} has neither a count nor anything that it goes with")
        return self


class CrewRule(Strict):
    """People at one place; below `least` the rig is not built."""

    post: str
    people: Annotated[int, Field(ge=1)]
    least: Annotated[int, Field(ge=0)]

    @model_validator(mode="after")
    def _least_is_least(self) -> Self:
        if self.least > self.people:
            raise ValueError(f"the least crew of {self.post} is more than its crew")
        return self


class Rig(Strict):
    """A rig's template, as read."""

    name: str
    kind: str = "track-line"
    bow_strands: Annotated[int, Field(ge=1, le=4)]
    people_on_haul: Annotated[int, Field(ge=1, le=12)]
    hauls: Annotated[list[HaulName], Field(min_length=1)]
    judged_cases: Annotated[list[str], Field(min_length=1)]
    printed_cases: list[str]
    planning_case: str
    far_end: EndName
    near_end: EndName
    line: Annotated[list[LineRule], Field(min_length=1)]
    part: list[PartRule]
    gear: list[GearRule]
    crew: list[CrewRule]
    release: Annotated[list[str], Field(min_length=1)]
    """Lines in the order in which they are let go."""
    knives: Annotated[list[str], Field(min_length=2, max_length=2)]
    """The two posts that carry the knife."""

    @field_validator("kind")
    @classmethod
    def _kind_is_known(cls, kind: str) -> str:
        if kind not in KINDS:
            raise ValueError(f"no rig is of kind {kind}; kinds: {', '.join(KINDS)}")
        return kind

    @model_validator(mode="after")
    def _each_once(self) -> Self:
        """Each line, item, post and case stands once; every line of the kind is there, and no other."""
        lines = [rule.name for rule in self.line]
        named: dict[str, Iterable[str]] = {
            "line": lines,
            "part": [rule.name for rule in self.part],
            "gear": [rule.item for rule in self.gear],
            "crew": [rule.post for rule in self.crew],
            "case": [*self.judged_cases, *self.printed_cases],
            "haul": self.hauls,
            "release": self.release,
            "knives": self.knives,
        }
        for what, names in named.items():
            if twice := _twice(names):
                raise ValueError(f"{what} {twice[0]} stands twice")
        asked = KINDS[self.kind]
        missing = [name for name in asked.lines if name not in lines]
        if missing:
            raise ValueError(f"line {missing[0]} is missing")
        strange = [name for name in lines if name not in (*asked.lines, *asked.other_lines)]
        if strange:
            raise ValueError(f"line {strange[0]} is no line of a rig of kind {self.kind}")
        return self

    @model_validator(mode="after")
    def _judges_what_it_plans(self) -> Self:
        """The planning case and what the kind asks for are judged: the held boat, the empty carriage."""
        for case in (self.planning_case, *KINDS[self.kind].cases):
            if case not in self.judged_cases:
                raise ValueError(f"case {case} is not among judged_cases")
        return self

    @model_validator(mode="after")
    def _names_its_own(self) -> Self:
        """What is let go is a line of this rig, and who carries a knife stands at a post of it."""
        lines, posts = [rule.name for rule in self.line], [rule.post for rule in self.crew]
        for what, names, known in (("release", self.release, lines), ("knives", self.knives, posts)):
            if unknown := [name for name in names if name not in known]:
                raise ValueError(f"{what} names {unknown[0]}, which this rig does not have")
        return self

    @model_validator(mode="after")
    def _parts_are_in_the_gear(self) -> Self:
        """Hardware that the factor counts on is asked for, at least as strong."""
        rated = {rule.item: rule.rating_kn for rule in self.gear}
        for part in self.part:
            rating_kn = rated.get(part.name)
            if rating_kn is None or rating_kn < part.rating_kn:
                raise ValueError(
                    f"part {part.name} of {part.rating_kn:g} kN is not asked for in [[gear]] at that rating"
                )
        return self
