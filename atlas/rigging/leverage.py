"""Where along the track line both ferry lines still move the carriage."""

from __future__ import annotations

import numpy as np

from atlas.rigging.asked import Asked
from atlas.rigging.carriages import Carriages, carriages_at
from atlas.rigging.setups import Of
from atlas.rigging.shown import AT_SHARE, FloatArray

__all__ = ["leverage_range", "leverages"]

_PLACES = 49


def leverages(state: Carriages) -> tuple[FloatArray, FloatArray]:
    """How much of a newton in the near and in the far ferry line moves the carriage toward its own bank.

    Negative where the carriage is past the station: that line would move it the other way.
    """
    parts = []
    for line, sign in ((0, -1.0), (1, 1.0)):
        along = state.of_site(Of.STATION_X + line) - state.at_m
        down = state.of_site(Of.STATION_Y + line) - state.bow_m
        up = state.of_site(Of.STATION_Z + line) - state.ring_m
        parts.append(sign * along / np.sqrt(along**2 + down**2 + up**2))
    return parts[0], parts[1]


def leverage_range(table: FloatArray, asked: Asked, *, least: FloatArray) -> tuple[FloatArray, FloatArray]:
    """First and last place where neither ferry line's leverage is under `least` [m].

    Parameters
    ----------
    asked : one question for each site; drag alone, which bows the line farthest
    least : shape (questions,)

    Returns
    -------
    from, to : shape (questions,); from over to where there is no such place

    Notes
    -----
    Straight between 49 places. Leverage falls toward a ferry line's own bank, so the places are one range.
    """
    span = table[Of.SPAN, asked.site]
    share = np.linspace(AT_SHARE.low, AT_SHARE.high, _PLACES)
    state = carriages_at(table, asked, span[:, np.newaxis] * share)
    works = np.minimum(*leverages(state)) - least[:, np.newaxis]
    from_m, to_m = np.empty(asked.count), np.empty(asked.count)
    for question, (place, left) in enumerate(zip(state.at_m, works, strict=True)):
        fine = np.flatnonzero(left >= 0.0)
        if not fine.size:
            from_m[question], to_m[question] = span[question], 0.0
            continue
        first, last = int(fine[0]), int(fine[-1])
        from_m[question] = _between(place, left, first, first - 1)
        to_m[question] = _between(place, left, last, last + 1)
    return from_m, to_m


def _between(place: FloatArray, left: FloatArray, inside: int, outside: int) -> float:
    """Where what is left is used up between two neighbouring places."""
    if not 0 <= outside < place.size:
        return float(place[inside])
    share = left[inside] / (left[inside] - left[outside])
    return float(place[inside] + share * (place[outside] - place[inside]))
