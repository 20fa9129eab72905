"""Pulse check, slack budget and hand-over: what the lines themselves are asked."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil

import numpy as np

from atlas.plan.context import Context
from atlas.plan.crew_results import HandOver, PulseCheck, SlackAllowed
from atlas.plan.questions_scene import Hanging, Scene, heavy_case
from atlas.rigging import Rope, TrackLine
from atlas.rigging.drift import SPEED_M_S
from atlas.rigging.fixtures import Stand
from atlas.rigging.hand_over import hand_over_pull_n
from atlas.rigging.hung_boat import HungBoat
from atlas.rigging.pulse import pulse_window
from atlas.rigging.setups import Of
from atlas.rigging.shown import FloatArray
from atlas.rigging.slack_budget import Catch, catch_by_line, pull_share, slack_budget_m
from atlas.water import drag_n

__all__ = ["hand_over", "pulse_checks", "slacks_allowed"]

_LOOKED_AT = slice(None, None, 3)
"""Every third place of the scene."""
_STEPS = 32
_CAUGHT = (Hanging.HELD_STIFF, Hanging.HELD_CLOSE, Hanging.HEAVY_STIFF)
_DRAG_LEAST_N = 1.0
"""What the slack budget was shown for."""


def pulse_checks(scene: Scene) -> list[PulseCheck | None]:
    """Times of the pulse for the window of every site; None without one.

    Raises
    ------
    OutOfRange
        From `pulse_window`.
    """
    ends = [
        (one.window.low_n, one.window.high_n)
        if one.window.is_open and one.window.low_n is not None and one.window.high_n is not None
        else None
        for one in scene.mechanics
    ]
    open_ = [site for site, end in enumerate(ends) if end is not None]
    checks: list[PulseCheck | None] = [None] * scene.count
    if not open_:
        return checks
    from_n, to_n = np.array([end for end in ends if end is not None]).T
    rules, ropes, table = scene.contexts[0].policy.pulse, scene.rigged.ropes, scene.rigged.table
    returns = int(rules.returns)
    found = pulse_window(
        span_m=table[Of.SPAN, open_],
        rise_m=table[Of.RISE, open_],
        weight_n_m=table[Of.WEIGHT, open_],
        stiffness_n=np.column_stack([ropes.low_n[open_], ropes.high_n[open_]]),
        wet_factor=rules.wet_factor,
        from_n=from_n,
        to_n=to_n,
        returns=returns,
    )
    for row, site in enumerate(open_):
        shows = bool(found.shows[row])
        checks[site] = PulseCheck(
            returns=returns,
            dry_s=(float(found.dry_from_s[row]), float(found.dry_to_s[row])),
            wet_s=(float(found.wet_from_s[row]), float(found.wet_to_s[row])),
            from_s=float(found.from_s[row]) if shows else None,
            to_s=float(found.to_s[row]) if shows else None,
        )
    return checks


def _tension_most_n(scene: Scene) -> FloatArray:
    """Greatest tension of each track line, shape (sites, 1): its parts, half of what its pulley stands."""
    most: FloatArray = scene.rigged.most_n
    least: FloatArray = np.minimum(most[Stand.TENSION], 0.5 * most[Stand.RESULTANT])
    return least[:, np.newaxis]


def _pull_most_n(scene: Scene, drag: FloatArray) -> FloatArray:
    """Greatest pull of the boat that all other lines and anchors stand, as `drag` [N].

    In proportion to what they stand with the boat at rest: what a line or anchor stands grows more slowly
    than the boat's pull, so this is no more than they bear.
    """
    others = [stand for stand in Stand if stand not in (Stand.TENSION, Stand.RESULTANT)]
    stood = np.stack([scene.of(scene.stood_n[stand], _CAUGHT, _LOOKED_AT) for stand in others])
    with np.errstate(divide="ignore"):
        shares = scene.rigged.most_n[others][:, :, np.newaxis] / stood
    return np.asarray(drag * shares.min(axis=0))


def _caught(scene: Scene, boat: HungBoat, drag: FloatArray) -> Catch:
    """Force-bow curves of every site's line, with every hanging of `_CAUGHT` at every place."""
    track = TrackLine(
        span_m=scene.of_sites(Of.SPAN),
        rise_m=scene.of_sites(Of.RISE),
        rope=Rope(
            strength_n=scene.mechanics[0].rope.strength_n,
            weight_n_m=scene.of_sites(Of.WEIGHT),
            stiffness_n=scene.rigged.ropes.high_n[:, np.newaxis],
        ),
        pretension_n=np.array([[one.haul.most_n] for one in scene.mechanics]),
    )
    ring = scene.ring(_CAUGHT, _LOOKED_AT)
    share = pull_share(
        boat.up_down,
        ring,
        bow_ring_m=boat.bow_ring_m,
        strand_m=scene.of(scene.strand_m, _CAUGHT, _LOOKED_AT),
        skew_deg=boat.skew_deg,
        bow_strands=boat.bow_strands,
    )
    return catch_by_line(
        track,
        share,
        at_m=ring.x_m,
        weight_n=boat.weight_n,
        tension_most_n=_tension_most_n(scene),
        pull_most_n=_pull_most_n(scene, drag),
        steps=_STEPS,
    )


def slacks_allowed(scene: Scene, up_down_m: Sequence[float]) -> list[tuple[SlackAllowed, ...]]:
    """Slack in the up-down line that keeps the snatch inside plan, by case, at every site.

    Parameters
    ----------
    up_down_m : length needed of each site's up-down line: a line cannot be slack by more, so a budget
        beyond it is no limit [m]

    Raises
    ------
    OutOfRange
        From `catch_by_line` and `slack_budget_m`.
    """
    boat = scene.boat(_CAUGHT, _LOOKED_AT)
    drag = np.maximum(np.asarray(boat.drag_n), _DRAG_LEAST_N)
    caught = _caught(scene, boat, drag)
    speed = np.array([context.planning.design_speed_m_s for context in scene.contexts])
    places = drag.shape[1] // len(_CAUGHT)
    by_case = []
    for case, of, mass in (
        ("boat-held", slice(0, 2 * places), "mass"),
        (heavy_case(scene.contexts[0]).name, slice(2 * places, None), "mass_swamped"),
    ):
        way_m = slack_budget_m(
            Catch(caught.pull_n[..., of], caught.give_m[..., of]),
            boat_mass_kg=[getattr(context.policy.boat, mass) for context in scene.contexts],
            drag_n=drag[:, of][:, 0],
            speed_m_s=np.clip(speed, SPEED_M_S.low, SPEED_M_S.high),
        )
        slack_m = (boat.bow_strands * way_m).tolist()
        by_case.append(
            [
                SlackAllowed(case, one if one < line_m else None)
                for one, line_m in zip(slack_m, up_down_m, strict=True)
            ]
        )
    return list(zip(*by_case, strict=True))


def hand_over(context: Context, *, line: str, diameter_m: float) -> HandOver:
    """What a line pulls that touches the planning stage's water from bank to bank.

    Raises
    ------
    OutOfRange
        From `hand_over_pull_n`.
    """
    rules, row = context.policy.hand_over, context.planning
    drag_n_m = float(
        drag_n(
            area_cd_m2=rules.cylinder_drag * diameter_m,
            speed_m_s=row.design_speed_m_s,
            density_kg_m3=context.policy.loads.water_density,
        )
    )
    tight_n, slack_n = (
        float(hand_over_pull_n(drag_n_m=drag_n_m, width_m=row.width_m, sag_share=sag))
        for sag in (rules.sag_tight, rules.sag_slack)
    )
    person_n = context.policy.limits.pull_per_person
    return HandOver(
        line=line,
        diameter_m=diameter_m,
        drag_n_m=drag_n_m,
        tight_n=tight_n,
        slack_n=slack_n,
        tight_people=ceil(tight_n / person_n),
        slack_people=ceil(slack_n / person_n),
    )
