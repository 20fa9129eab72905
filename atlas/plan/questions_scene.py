"""The carriages that the crews' questions begin from: all sites of a batch at their planning stage."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import IntEnum

import numpy as np

from atlas.plan.agreement import Agreed
from atlas.plan.context import CaseDrag, Context
from atlas.plan.mechanics import Mechanics, drag_most_n, planning_travel
from atlas.plan.tended_lines import TendedRope, tended_rope
from atlas.rigging.asked import FREE, Asked
from atlas.rigging.carriages import Carriages, carriages_at
from atlas.rigging.ferry import StationPoints
from atlas.rigging.fixtures import stood
from atlas.rigging.hung_boat import HungBoat, RingPlace
from atlas.rigging.rigged import Rigged
from atlas.rigging.setups import Of
from atlas.rigging.shown import FloatArray

__all__ = ["Hanging", "Scene", "heavy_case", "scene_of"]

_PLACES = 13
_CLOSE_LEAST_M = 1.0
"""Nearer under its ring than this no boat is reckoned with: its strands would pull without bound."""
_TENDED = ("ferry-near", "ferry-far", "up-down")


class Hanging(IntEnum):
    """What hangs below the carriages, and on what line.

    HEAVY is the judged case that the current pushes most. SOFT lines are set least, seated, at the soft
    bound: they are drawn farthest. STIFF ones are set most, unseated, at the stiff bound: they stand most.
    The boat is at its farthest, but for CLOSE, where the held boat is hauled as near as it may come.
    """

    HELD_SOFT = 0
    HEAVY_SOFT = 1
    HELD_STIFF = 2
    HELD_CLOSE = 3
    HEAVY_STIFF = 4


_HEAVY = (Hanging.HEAVY_SOFT, Hanging.HEAVY_STIFF)
_SOFT = (Hanging.HELD_SOFT, Hanging.HEAVY_SOFT)


@dataclass(frozen=True, slots=True, eq=False)
class Scene:
    """Sites of a batch; arrays have the shape (sites, hangings, places) or the part of it that is named.

    Attributes
    ----------
    travel_m : from and to, shape (sites, 2)
    drag_n : of held and heavy, shape (sites, 2)
    close_m : the least strand, shape (sites,)
    ropes : of the tended lines, by line, for each site
    stood_n : on everything in `Stand`, before the other axes
    strand_m : horizontal length of the strands
    """

    contexts: tuple[Context, ...]
    mechanics: tuple[Mechanics, ...]
    rigged: Rigged
    travel_m: FloatArray
    drag_n: FloatArray
    close_m: FloatArray
    ropes: tuple[dict[str, TendedRope], ...]
    at_m: FloatArray
    bow_m: FloatArray
    ring_m: FloatArray
    ferry_near_n: FloatArray
    ferry_far_n: FloatArray
    stood_n: FloatArray
    strand_m: FloatArray

    @property
    def count(self) -> int:
        """How many sites."""
        return len(self.contexts)

    def of_sites(self, row: Of) -> FloatArray:
        """A figure of each site, shape (sites, 1)."""
        return np.asarray(self.rigged.table[row][:, np.newaxis])

    def rope_stiffness_n(self, line: str) -> FloatArray:
        """EA of a tended line, stiff bound, shape (sites, 1) [N]."""
        return np.array([[ropes[line].stiffness_n] for ropes in self.ropes])

    def skew_deg(self) -> FloatArray:
        """Of each site's flow, shape (sites, 1)."""
        return np.array([[context.frame.skew_deg] for context in self.contexts])

    def bow_ring_m(self) -> FloatArray:
        """Over the survey day's water, shape (sites, 1)."""
        rise_m = np.array([[context.planning.rise_m] for context in self.contexts])
        return np.asarray(self.of_sites(Of.BOW_RING) + rise_m)

    def stations(self) -> tuple[StationPoints, StationPoints, StationPoints]:
        """Near ferry, far ferry and up-down, shape (sites, 1) each."""
        setups = [one.site.setup for one in self.mechanics]
        return (
            StationPoints.of([setup.ferry_near for setup in setups]),
            StationPoints.of([setup.ferry_far for setup in setups]),
            StationPoints.of([setup.up_down for setup in setups]),
        )

    def of(self, values: FloatArray, hangings: Sequence[Hanging], places: slice) -> FloatArray:
        """Some hangings' values at some places, one after the other, shape (sites, hangings x places)."""
        return values[:, list(hangings), places].reshape(self.count, -1)

    def ring(self, hangings: Sequence[Hanging], places: slice) -> RingPlace:
        """Places of the ring, as `of`."""
        return RingPlace(
            *(self.of(values, hangings, places) for values in (self.at_m, self.bow_m, self.ring_m))
        )

    def boat(self, hangings: Sequence[Hanging], places: slice) -> HungBoat:
        """The boat of every site and the line it is let down on; its drag as `of`, the rest (sites, 1)."""
        heavy = np.isin(list(hangings), _HEAVY)
        drag_n = np.where(heavy[:, np.newaxis], self.drag_n[:, 1, None, None], self.drag_n[:, 0, None, None])
        count = len(range(*places.indices(self.at_m.shape[-1])))
        return HungBoat(
            drag_n=np.repeat(drag_n[..., 0], count, axis=1),
            skew_deg=self.skew_deg(),
            weight_n=self.of_sites(Of.CARRIAGE),
            bow_ring_m=self.bow_ring_m(),
            up_down=self.stations()[2],
            bow_strands=self.contexts[0].rig.bow_strands,
            stiffness_n=self.rope_stiffness_n("up-down"),
        )


def heavy_case(context: Context) -> CaseDrag:
    """The judged case that the current pushes most."""
    return max((case for case in context.cases if case.judged), key=lambda case: case.drag_per_speed2)


def _drags(context: Context) -> tuple[float, float]:
    """Held boat and heaviest judged case at the planning stage [N]."""
    speed2 = context.planning.design_speed_m_s**2
    held = next(case.drag_per_speed2 for case in context.cases if case.name == "boat-held")
    heavy = heavy_case(context).drag_per_speed2
    return min(held * speed2, drag_most_n()), min(heavy * speed2, drag_most_n())


def _asked(
    rigged: Rigged, mechanics: Sequence[Mechanics], contexts: Sequence[Context], given: FloatArray
) -> Asked:
    """Questions of every site in the order of `Hanging`; `given` has drags and least strand of each site."""
    site = np.arange(len(contexts))[:, np.newaxis]
    hanging = np.array(list(Hanging))
    soft, heavy = np.isin(hanging, _SOFT), np.isin(hanging, _HEAVY)
    set_n = np.array([(one.haul.least_n, one.haul.most_n) for one in mechanics])
    stages = np.array([context.planning.rise_m for context in contexts])
    clear = np.array([context.clearance_base_m for context in contexts])
    ropes = rigged.ropes
    return Asked.of(
        site=site,
        whole=np.array([[one.has_leverage] for one in mechanics]),
        drag_n=np.where(heavy, given[:, 1:2], given[:, 0:1]),
        water_rise_m=stages[:, np.newaxis],
        clearance_m=clear[:, np.newaxis],
        set_n=np.where(soft, set_n[:, :1], set_n[:, 1:]),
        stiffness_n=np.where(soft, ropes.low_n[site], ropes.high_n[site]),
        seating_m=np.where(soft, ropes.seating_m[site], 0.0),
        strand_m=np.where(hanging == Hanging.HELD_CLOSE, given[:, 2:3], FREE),
        hauled=False,
    )


def _strands_m(state: Carriages) -> FloatArray:
    """Horizontal length of the strands, shape (questions, places) [m]."""
    free = np.maximum(state.of_site(Of.REACH) - state.bow_m, state.of_site(Of.STRAND_LEAST))
    fixed = state.asked.strand_m[:, np.newaxis]
    return np.where(np.isnan(fixed), free, fixed)


def scene_of(
    contexts: Sequence[Context], agreed: Sequence[Agreed], closest_m: Sequence[float | None]
) -> Scene:
    """Carriages of every site, solved together.

    Parameters
    ----------
    closest_m : how near the held boat may come; None where no distance keeps its clearance

    Raises
    ------
    OutOfRange, NoSolution
        From the track line.
    """
    mechanics = [one.mechanics for one in agreed]
    rigged = Rigged.of([one.site for one in mechanics])
    least_m = [context.policy.loads.strand_distance_least for context in contexts]
    close_m = np.array(
        [
            least if near is None else max(near, _CLOSE_LEAST_M)
            for near, least in zip(closest_m, least_m, strict=True)
        ]
    )
    drag_n = np.array([_drags(context) for context in contexts])
    asked = _asked(rigged, mechanics, contexts, np.column_stack([drag_n, close_m]))
    levered = [(one.leverage_from_m, one.leverage_to_m) for one in mechanics]
    travel_m = np.array(planning_travel(contexts, levered))
    at_m = travel_m[:, :1] + np.diff(travel_m) * np.linspace(0.0, 1.0, _PLACES)
    state = carriages_at(rigged.table, asked, np.repeat(at_m, len(Hanging), axis=0))

    def shaped(values: FloatArray) -> FloatArray:
        return values.reshape(*values.shape[:-2], len(contexts), len(Hanging), _PLACES)

    return Scene(
        contexts=tuple(contexts),
        mechanics=tuple(mechanics),
        rigged=rigged,
        travel_m=travel_m,
        drag_n=drag_n,
        close_m=close_m,
        ropes=tuple(
            {line: tended_rope(context, one.covers, line) for line in _TENDED}
            for context, one in zip(contexts, agreed, strict=True)
        ),
        at_m=shaped(state.at_m),
        bow_m=shaped(state.bow_m),
        ring_m=shaped(state.ring_m),
        ferry_near_n=shaped(state.ferry_near_n),
        ferry_far_n=shaped(state.ferry_far_n),
        stood_n=shaped(stood(state)),
        strand_m=shaped(_strands_m(state)),
    )
