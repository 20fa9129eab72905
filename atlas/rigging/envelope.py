"""The worst of a quantity over the places of the carriage: a grid, then the vertex between its points."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from atlas.rigging.carriage import CarriageSetup, CarriageState
from atlas.rigging.loads import carriage_state

__all__ = ["Conditions", "Envelope", "bow", "clearance", "places_between", "tension", "worst"]

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Conditions:
    """What is held while the carriage travels; the fields broadcast against each other.

    Attributes
    ----------
    drag_n : drag of what hangs below; 0 is the empty carriage [N]
    water_rise_m : water over that of the survey day [m]
    pretension_n, stiffness_n, seating_m : as `carriage_state`
    """

    drag_n: ArrayLike
    water_rise_m: ArrayLike
    pretension_n: ArrayLike
    stiffness_n: ArrayLike
    seating_m: ArrayLike

    def spread(self) -> tuple[Floats, ...]:
        """The fields at their common shape, with an axis for places added."""
        fields = (self.drag_n, self.water_rise_m, self.pretension_n, self.stiffness_n, self.seating_m)
        return tuple(np.asarray(item, dtype=np.float64)[..., None] for item in np.broadcast_arrays(*fields))


@dataclass(frozen=True, slots=True)
class Envelope:
    """The worst state; every field has the conditions' shape.

    Attributes
    ----------
    value : the worst of the quantity asked for
    at_m : where along the track line
    state : the whole state there
    """

    value: Floats
    at_m: Floats
    state: CarriageState


def tension(state: CarriageState) -> Floats:
    """Rope tension [N]: worst when greatest."""
    return state.track.tension_n


def bow(state: CarriageState) -> Floats:
    """Bow [m]: worst when greatest."""
    return state.track.downstream_m


def clearance(state: CarriageState) -> Floats:
    """Clearance with its sign turned [m]: worst when greatest."""
    return -state.clearance_m


def places_between(*, from_m: float, to_m: float, count: int) -> Floats:
    """`count` places of the carriage, ends included."""
    return np.linspace(from_m, to_m, count)


def _vertex_m(places_m: Floats, values: Floats, index: NDArray[np.intp]) -> Floats:
    """Place of the vertex of the parabola through the greatest grid value and its neighbours."""
    count = places_m.shape[-1]
    middle = np.clip(index, 1, count - 2)[..., None]
    before, at, after = (np.take_along_axis(values, middle + k, axis=-1)[..., 0] for k in (-1, 0, 1))
    step_m = (places_m[..., -1] - places_m[..., 0]) / (count - 1)
    curve = before - 2.0 * at + after
    shift = np.divide(before - after, 2.0 * curve, out=np.zeros_like(at), where=curve < 0.0)
    centre_m = np.take_along_axis(np.broadcast_to(places_m, values.shape), middle, axis=-1)[..., 0]
    moved_m: Floats = np.clip(
        centre_m + np.clip(shift, -1.0, 1.0) * step_m, places_m[..., 0], places_m[..., -1]
    )
    return moved_m


def worst(
    setup: CarriageSetup,
    quantity: Callable[[CarriageState], Floats],
    conditions: Conditions,
    *,
    places_m: ArrayLike,
    strand_m: ArrayLike | None = None,
) -> Envelope:
    """Greatest of `quantity` over `places_m`, refined between grid points.

    Parameters
    ----------
    places_m : shape (..., p), p >= 3 equally spaced places [m]; leading axes broadcast
    strand_m : as `carriage_state`

    Raises
    ------
    OutOfRange, NoSolution
        From `carriage_state`.
    """
    drag, rise, pretension, stiffness, seating = conditions.spread()

    def state_at(at_m: Floats) -> CarriageState:
        return carriage_state(
            setup,
            at_m=at_m,
            drag_n=drag,
            water_rise_m=rise,
            pretension_n=pretension,
            stiffness_n=stiffness,
            seating_m=seating,
            strand_m=strand_m,
        )

    shape = (*drag.shape[:-1], np.shape(places_m)[-1])
    places = np.broadcast_to(np.asarray(places_m, dtype=np.float64), shape)
    values = quantity(state_at(places))
    index = np.argmax(values, axis=-1)
    grid_m = np.take_along_axis(places, index[..., None], axis=-1)[..., 0]
    grid_value = np.take_along_axis(values, index[..., None], axis=-1)[..., 0]
    vertex_m = _vertex_m(places, values, index)
    vertex_value = quantity(state_at(vertex_m[..., None]))[..., 0]
    at_m = np.where(vertex_value >= grid_value, vertex_m, grid_m)
    state = state_at(at_m[..., None])
    return Envelope(value=quantity(state)[..., 0], at_m=at_m, state=state)
