"""What crews ask on the bank, answered for rigs with a track line, a batch of sites at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import shapely

from atlas.faults import EngineeringError
from atlas.plan.agreement import Agreed
from atlas.plan.context import Context
from atlas.plan.crew_results import (
    CrewAnswers,
    FarFerryLost,
    HandOver,
    PulseCheck,
    SlackAllowed,
    TrackAnswers,
    TrackParted,
)
from atlas.plan.questions_decide import decisions
from atlas.plan.questions_ground import no_go, track_grounds
from atlas.plan.questions_line import hand_over, pulse_checks, slacks_allowed
from atlas.plan.questions_lost import far_ferries_lost, tracks_parted
from atlas.plan.questions_scene import Hanging, Scene, scene_of
from atlas.plan.questions_water import BoatWater, dangers_below, posts_in_time, reached_water
from atlas.plan.tended_lines import tended_rope
from atlas.plan.turned import Turned

__all__ = ["Answered", "answer_questions"]


@dataclass(frozen=True, slots=True)
class Answered:
    """The answers of one site; None where it lies outside what they were shown for, and `untold` says why."""

    crew: CrewAnswers | None
    track: TrackAnswers | None
    untold: str | None = None


def _boat_water(scene: Scene, site: int, turned: Turned) -> BoatWater:
    """Of the held boat on the softest line: it bows farthest, and leaves least water above."""
    return BoatWater.of(
        at_m=scene.at_m[site, Hanging.HELD_SOFT],
        bow_m=scene.bow_m[site, Hanging.HELD_SOFT],
        least_m=float(scene.close_m[site]),
        most_m=scene.strand_m[site, Hanging.HELD_SOFT],
        skew_deg=scene.contexts[site].frame.skew_deg,
        inside_plan=turned.closest_boat_m is not None,
    )


def _hand_overs(context: Context, one: Agreed) -> tuple[HandOver, ...]:
    """The messenger goes over first, then the track line on its bight."""
    messenger = tended_rope(context, one.covers, "messenger")
    return (
        hand_over(context, line="messenger", diameter_m=messenger.diameter_m),
        hand_over(context, line="track", diameter_m=one.mechanics.rope.diameter_m),
    )


@dataclass(frozen=True, slots=True)
class _Track:
    """What is told of all sites together."""

    parted: list[TrackParted]
    lost: list[FarFerryLost]
    lost_grounds: list[shapely.Geometry]
    pulses: list[PulseCheck | None]
    slacks: list[tuple[SlackAllowed, ...]]

    @classmethod
    def of(cls, scene: Scene, agreed: Sequence[Agreed]) -> _Track:
        up_down_m = [one.lengths["up-down"].needed_m for one in agreed]
        lost, grounds = far_ferries_lost(scene)
        slacks = slacks_allowed(scene, up_down_m)
        return cls(tracks_parted(scene), lost, grounds, pulse_checks(scene), slacks)


def _answered(scene: Scene, track: _Track, site: int, *, agreed: Agreed, turned: Turned) -> Answered:
    context, window = scene.contexts[site], agreed.mechanics.window
    water = _boat_water(scene, site, turned)
    dangers, overs = dangers_below(context, water), _hand_overs(context, agreed)
    bowed = Hanging.HEAVY_SOFT
    grounds = track_grounds(context, at_m=scene.at_m[site, bowed], bow_m=scene.bow_m[site, bowed])
    set_n = (window.low_n, window.high_n) if window.is_open else (None, None)
    crew = CrewAnswers(
        dangers=dangers,
        hand_overs=overs,
        posts=posts_in_time(context, water, dangers),
        reached=reached_water(context, water),
        no_go=no_go(context, grounds, [("far_ferry_lost", track.lost_grounds[site])]),
        decisions=decisions(
            context, limit=turned.limit, hand_overs=overs, pulse=track.pulses[site], set_n=set_n
        ),
        release_order=tuple(context.rig.release),
        knives=tuple(context.rig.knives),
    )
    return Answered(
        crew,
        TrackAnswers(
            pulse=track.pulses[site],
            track_parted=track.parted[site],
            far_ferry_lost=track.lost[site],
            slack=track.slacks[site],
        ),
    )


def answer_questions(
    contexts: Sequence[Context], agreed: Sequence[Agreed], turned: Sequence[Turned]
) -> list[Answered]:
    """All questions of every site; of a batch that holds a site that cannot be told, of its halves."""
    if not contexts:
        return []
    try:
        scene = scene_of(contexts, agreed, [one.closest_boat_m for one in turned])
        track = _Track.of(scene, agreed)
        return [
            _answered(scene, track, site, agreed=one, turned=turn)
            for site, (one, turn) in enumerate(zip(agreed, turned, strict=True))
        ]
    except EngineeringError as error:
        if len(contexts) == 1:
            return [Answered(None, None, untold=str(error))]
    half = len(contexts) // 2
    return [
        *answer_questions(contexts[:half], agreed[:half], turned[:half]),
        *answer_questions(contexts[half:], agreed[half:], turned[half:]),
    ]
