"""A printed state, solved again."""

from __future__ import annotations

from dataclasses import dataclass

from atlas.plan import LoadPlace, TrackCase
from atlas.rigging import TrackLine, TrackState
from atlas.workings.paper.rigged import Rigged

__all__ = ["StateAsked"]


@dataclass(frozen=True, slots=True)
class StateAsked:
    """A printed state, solved again from its place and load."""

    case: TrackCase
    place: LoadPlace
    line: TrackLine
    track: TrackState

    @classmethod
    def of(cls, rigged: Rigged, case: TrackCase, place: LoadPlace) -> StateAsked:
        """The state of a case at a place."""
        return cls(case, place, rigged.line_at(place), rigged.state_at(place))
