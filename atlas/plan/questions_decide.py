"""Decision points, each with the numbers that decide."""

from __future__ import annotations

from atlas.plan.context import Context
from atlas.plan.crew_results import Decision, DecisionNumber, HandOver, PulseCheck
from atlas.plan.rig_results import Limit
from atlas.rigging.decisions import rise_to_stop_m

__all__ = ["decisions"]

_ROOM_MOST_M = 30.0
"""Past this a limit stage is none that rising water comes to in a day."""


def _rise_to_stop_m(context: Context, limit: Limit | None) -> float | None:
    """Rise between two looks that turns a crew back, at the planning stage; None without a limit stage."""
    stage_m = context.planning.stage_m
    if limit is None or limit.stage_m is None or stage_m is None:
        return None
    room_m = limit.stage_m - stage_m
    if not 0.0 <= room_m <= _ROOM_MOST_M:
        return None
    times = context.policy.decisions
    return float(rise_to_stop_m(room_m=room_m, between_s=times.interval, clear_s=times.clear))


def decisions(
    context: Context,
    *,
    limit: Limit | None,
    hand_overs: tuple[HandOver, ...],
    pulse: PulseCheck | None,
    set_n: tuple[float | None, float | None],
) -> tuple[Decision, ...]:
    """Before crossing, before the boat is loaded, every so often, and the words that stop everything.

    Parameters
    ----------
    set_n : least and most set tension inside plan; None each without such a line or without a window [N]
    """
    float_s = None if limit is None else limit.float_seconds
    pulse_from_s, pulse_to_s = (None, None) if pulse is None else (pulse.from_s, pulse.to_s)
    low_n, high_n = set_n
    far = next((post.least for post in context.rig.crew if post.post == "far_bank"), None)
    given: dict[str, dict[str, float | None]] = {
        "before_crossing": {
            "float_seconds_s": float_s,
            "float_distance_m": None if limit is None else limit.float_distance_m,
            "limit_stage_m": None if limit is None else limit.stage_m,
            "far_crew_least": None if far is None else float(far),
            "hand_over_people": max((float(one.slack_people) for one in hand_overs), default=None),
        },
        "before_loading_boat": {
            "set_from_n": low_n,
            "set_to_n": high_n,
            "pulse_from_s": pulse_from_s,
            "pulse_to_s": pulse_to_s,
        },
        "every_interval": {
            "interval_s": context.policy.decisions.interval,
            "float_seconds_s": float_s,
            "rise_to_stop_m": _rise_to_stop_m(context, limit),
            "clear_s": context.policy.decisions.clear,
        },
        "stop_words": {},
    }
    return tuple(
        Decision(
            code,
            tuple(DecisionNumber(name, value) for name, value in numbers.items() if value is not None),
        )
        for code, numbers in given.items()
    )
