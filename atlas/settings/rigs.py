"""A rig's template: its lines and the ropes that serve them, parts, hauls, gear, crew and cases."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from atlas.settings.toml_file import Strict

Positive = Annotated[float, Field(gt=0)]
RopeKind = Literal["static", "low_stretch", "floating"]
HaulName = Literal["2:1", "3:1", "4:1", "6:1", "9:1"]
EndName = Literal["figure_8", "butterfly", "bowline", "wraps", "device"]


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
    rope: Annotated[list[RopeRule], Field(min_length=1)]

    @model_validator(mode="after")
    def _serves_every_span(self) -> Self:
        if self.rope[0].span_most_m is not None:
            raise ValueError("the first rope of a line serves every span: no span_most_m")
        return self


class PartRule(Strict):
    """A part of the track line: it stands the rope's tension, or the resultant of both sides."""

    name: str
    rating_kn: Positive
    stands: Literal["tension", "resultant"]
    source: str


class GearRule(Strict):
    """Pieces of one item."""

    item: str
    count: Annotated[int, Field(ge=1)]
    rating_kn: Positive | None = None


class CrewRule(Strict):
    """People at one place; below `least` the rig is not built."""

    post: str
    people: Annotated[int, Field(ge=1)]
    least: Annotated[int, Field(ge=0)]


class Rig(Strict):
    """A rig's template, as read."""

    name: str
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
