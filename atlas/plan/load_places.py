"""Solved states as the arguments with which the track line gives them back."""

from __future__ import annotations

from atlas.plan.track_results import LoadPlace
from atlas.rigging.carriages import Carriages

__all__ = ["load_places"]


def load_places(state: Carriages) -> list[LoadPlace]:
    """Of states at one place each, in their order."""
    asked = state.asked
    columns = (
        state.at_m[:, 0],
        state.along_n[:, 0],
        state.downstream_n[:, 0],
        -state.down_n[:, 0],
        asked.set_n,
        asked.stiffness_n,
        asked.seating_m,
        asked.whole,
    )
    return [LoadPlace(*values) for values in zip(*(column.tolist() for column in columns), strict=True)]
