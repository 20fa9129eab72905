"""What a rig with a track line answers besides, as data; what it does not have is null."""

from __future__ import annotations

from dataclasses import asdict

from atlas.plan import LimitBow, LoadPlace, TieHeights, TrackCase, TrackLineRig, WindowCloses
from atlas.workings.notes import Table, note_object

__all__ = ["case_on_track", "rig_on_track"]

NO_CASE = (
    "tension_at", "clearance_m", "clearance_at", "bow_m", "ferry_near_n", "ferry_far_n", "up_down_hold_n",
    "up_down_haul_n", "clearance_needed_m", "clearance_part", "lowest_line", "bow_at",
)  # fmt: skip
"""What a load case has on a track line alone."""
NO_RIG = (
    "rope", "pretension_n", "pretension_window_n", "haul", "closest_boat_m", "window_governed_by",
    "window_opens", "limit_bows", "tie_heights", "window_closes", "travel_m", "seating_m", "capture",
    "leverage_m",
)  # fmt: skip
"""What a rig has with a track line alone."""


def _rope(rig: TrackLineRig) -> Table:
    rope = rig.rope
    return {
        "strength_n": rope.strength_n,
        "weight_n_m": rope.weight_n_m,
        "stiffness_n": rope.stiffness_n,
        "stiffness_low_n": rope.stiffness_low_n,
        "stiffness_high_n": rope.stiffness_high_n,
        "kept": rope.kept,
        "name": rope.name,
        "agency": rope.agency,
        "diameter_m": rope.diameter_m,
    }


def _place(place: LoadPlace) -> Table:
    """With these, `atlas.rigging.TrackLine` gives the value beside it back."""
    return {
        "at_m": place.at_m,
        "load_n": [place.along_n, place.downstream_n, place.up_n],
        "pretension_n": place.pretension_n,
        "stiffness_n": place.stiffness_n,
        "seating_m": place.seating_m,
    }


def case_on_track(case: object) -> Table:
    """What a load case has on a track line; each key null on another rig."""
    if not isinstance(case, TrackCase):
        return dict.fromkeys(NO_CASE)
    return {
        "tension_at": _place(case.tension_at),
        "clearance_m": case.clearance_m,
        "clearance_at": _place(case.clearance_at),
        "bow_m": case.bow_m,
        "ferry_near_n": case.ferry_near_n,
        "ferry_far_n": case.ferry_far_n,
        "up_down_hold_n": case.up_down_hold_n,
        "up_down_haul_n": case.up_down_haul_n,
        "clearance_needed_m": case.clearance_needed_m,
        "clearance_part": case.clearance_part,
        "lowest_line": None if case.lowest_line is None else asdict(case.lowest_line),
        "bow_at": None if case.bow_at is None else _place(case.bow_at),
    }


def _bow(bow: LimitBow) -> Table:
    return {
        "at_m": bow.at_m,
        "bow_m": bow.bow_m,
        "tension_n": bow.tension_n,
        "governed_by": bow.governed_by,
        "bow_at": _place(bow.place),
    }


def _ties(ties: TieHeights | None) -> Table | None:
    if ties is None:
        return None
    return {"near_m": ties.near_m, "far_m": ties.far_m, "raised_m": ties.raised_m}


def _closes(closes: WindowCloses | None) -> Table | None:
    if closes is None:
        return None
    return {
        "rise_m": closes.rise_m,
        "stage_m": closes.stage_m,
        "design_speed_m_s": closes.design_speed_m_s,
        "width_m": closes.width_m,
        "set_n": closes.set_n,
        "governed_by": closes.governed_by,
    }


def _turned(rig: TrackLineRig) -> Table:
    """What the forward model was turned round for, beside window and limit."""
    return {
        "limit_bows": [_bow(bow) for bow in rig.limit_bows],
        "tie_heights": _ties(rig.tie_heights),
        "window_closes": _closes(rig.window_closes),
    }


def _window(rig: TrackLineRig) -> list[float] | None:
    return None if rig.window is None else [rig.window.low_n, rig.window.high_n]


def _about_window(rig: TrackLineRig) -> Table:
    """What holds the window's two ends, and what would open an empty one."""
    window, opens = rig.window, rig.window_opens
    ends = None if window is None else {"from": window.low_governed_by, "to": window.high_governed_by}
    return {"window_governed_by": ends, "window_opens": None if opens is None else note_object(opens)}


def rig_on_track(rig: object) -> Table:
    """What a rig has with a track line; each key null of another rig."""
    if not isinstance(rig, TrackLineRig):
        return dict.fromkeys(NO_RIG)
    haul = rig.haul
    return {
        "rope": _rope(rig),
        "pretension_n": rig.pretension_n,
        "pretension_window_n": _window(rig),
        "haul": {
            "system": haul.system,
            "people": haul.people,
            "least_n": haul.least_n,
            "most_n": haul.most_n,
            "travel_m": haul.travel_m,
            "fits": haul.fits,
        },
        "closest_boat_m": rig.closest_boat_m,
        **_about_window(rig),
        **_turned(rig),
        "travel_m": [rig.travel_from_m, rig.travel_to_m],
        "seating_m": rig.seating_m,
        "capture": {"device": rig.capture, "limit_n": rig.capture_limit_n},
        "leverage_m": None if rig.leverage_m is None else list(rig.leverage_m),
    }
