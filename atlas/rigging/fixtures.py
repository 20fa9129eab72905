"""What every rope, pulley and anchor stands while a carriage is held; on anchors also from where."""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum

import numpy as np

from atlas.rigging.carriages import Carriages
from atlas.rigging.carried import CarriedRow
from atlas.rigging.setups import Of
from atlas.rigging.shown import FloatArray

__all__ = ["AnchorPulls", "Stand", "anchor_pulls", "stood", "up_down_n"]


class Stand(IntEnum):
    """What stands a force: the track line, its carriage pulley, a tended line, or an anchor."""

    TENSION = 0
    RESULTANT = 1
    FERRY_NEAR = 2
    FERRY_FAR = 3
    UP_DOWN = 4
    NEAR_TIE = 5
    FAR_TIE = 6
    FERRY_NEAR_STATION = 7
    FERRY_FAR_STATION = 8
    UP_DOWN_STATION = 9


def up_down_n(state: Carriages) -> FloatArray:
    """Up-down line at its station: held, or hauled through its pulleys where it is hauled [N]."""
    share = np.where(state.asked.hauled[:, np.newaxis], state.of_site(Of.HAUL_SHARE), state.of_site(Of.SHARE))
    return state.strand_n * share


@dataclass(frozen=True, slots=True, eq=False)
class AnchorPulls:
    """Pull on each anchor, all lines on it added as vectors: along, downstream, up [N].

    An anchor that carries two of these stands under both names with the same pull.
    """

    near_tie: FloatArray
    far_tie: FloatArray
    ferry_near: FloatArray
    ferry_far: FloatArray
    up_down: FloatArray


def _station_pulls(state: Carriages) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Pull of near ferry, far ferry and up-down line on their stations, toward the ring."""
    pulls = []
    for line, tension_n in enumerate((state.ferry_near_n, state.ferry_far_n, up_down_n(state))):
        way = np.stack(
            [
                state.at_m - state.of_site(Of.STATION_X + line),
                state.bow_m - state.of_site(Of.STATION_Y + line),
                state.ring_m - state.of_site(Of.STATION_Z + line),
            ]
        )
        pulls.append(way * (tension_n / np.sqrt(way[0] ** 2 + way[1] ** 2 + way[2] ** 2)))
    near, far, up_down = pulls
    return near, far, up_down


def anchor_pulls(state: Carriages) -> AnchorPulls:
    """Pulls on the five anchors; sag of the tended lines left out of their direction."""
    rows = state.rows
    near_tie = rows[CarriedRow.NEAR_ALONG : CarriedRow.NEAR_UP + 1]
    hanging_n = state.of_site(Of.WEIGHT) * state.unstretched_m[:, np.newaxis]
    far_tie = np.stack([state.along_n, state.downstream_n, -(state.down_n + hanging_n)]) - near_tie
    ferry_near, ferry_far, up_down = _station_pulls(state)
    near_on_tie, far_on_tie, up_down_on_tie, up_down_on_ferry = (
        state.of_site(row)
        for row in (Of.FERRY_NEAR_ON_TIE, Of.FERRY_FAR_ON_TIE, Of.UP_DOWN_ON_TIE, Of.UP_DOWN_ON_FERRY)
    )
    near = near_tie + near_on_tie * ferry_near + up_down_on_tie * up_down
    far = far_tie + far_on_tie * ferry_far
    return AnchorPulls(
        near_tie=near,
        far_tie=far,
        ferry_near=np.where(near_on_tie > 0.0, near, ferry_near + up_down_on_ferry * up_down),
        ferry_far=np.where(far_on_tie > 0.0, far, ferry_far),
        up_down=np.where(up_down_on_tie > 0.0, near, up_down + up_down_on_ferry * ferry_near),
    )


def _size(pull: FloatArray) -> FloatArray:
    size: FloatArray = np.sqrt(pull[0] ** 2 + pull[1] ** 2 + pull[2] ** 2)
    return size


def stood(state: Carriages) -> FloatArray:
    """Force on everything in `Stand`, shape (rows of `Stand`, questions, places) [N]."""
    pulls = anchor_pulls(state)
    return np.stack(
        [
            state.tension_n,
            state.resultant_n,
            state.ferry_near_n,
            state.ferry_far_n,
            up_down_n(state),
            _size(pulls.near_tie),
            _size(pulls.far_tie),
            _size(pulls.ferry_near),
            _size(pulls.ferry_far),
            _size(pulls.up_down),
        ]
    )
