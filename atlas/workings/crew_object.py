"""What crews ask on the bank, as data; every number in SI, places in the site's frame."""

from __future__ import annotations

from atlas.plan import RigPlan, TrackLineRig
from atlas.plan.crew_results import (
    BackUp,
    CrewAnswers,
    DangerBelow,
    Decision,
    FarFerryLost,
    Ground,
    HandOver,
    NoGo,
    PostsInTime,
    PulseCheck,
    TrackAnswers,
    TrackParted,
)

__all__ = ["answers_object"]

Table = dict[str, object]


def _ground(ground: Ground) -> list[object]:
    """Polygons as lists of rings of [x, y]."""
    return [[[list(point) for point in ring] for ring in polygon] for polygon in ground]


def _danger(danger: DangerBelow) -> Table:
    return {
        "kind": danger.kind,
        "kind_text": danger.kind_text,
        "note": danger.note,
        "seconds_s": danger.seconds_s,
        "along_m": danger.along_m,
        "aside_m": danger.aside_m,
        "downstream_m": danger.downstream_m,
        "last_catch_m": danger.last_catch_m,
        "last_catch_along_m": danger.last_catch_along_m,
        "catch_in_time": danger.catch_in_time,
    }


def _hand_over(one: HandOver) -> Table:
    return {
        "line": one.line,
        "diameter_m": one.diameter_m,
        "drag_n_m": one.drag_n_m,
        "tight_n": one.tight_n,
        "slack_n": one.slack_n,
        "tight_people": one.tight_people,
        "slack_people": one.slack_people,
    }


def _posts(posts: PostsInTime) -> Table:
    return {
        "spotter_needed_m": posts.spotter_needed_m,
        "spotter_m": posts.spotter_m,
        "spotter_in_time": posts.spotter_in_time,
        "throwers": [
            {
                "at_m": list(one.at),
                "bank": one.bank,
                "seconds_s": one.seconds_s,
                "ways_share": one.ways_share,
            }
            for one in posts.throwers
        ],
        "in_time_least": posts.in_time_least,
        "in_time_most": posts.in_time_most,
        "covered_share": posts.covered_share,
    }


def _no_go(no_go: NoGo) -> Table:
    return {
        "parts": [{"part": name, "ground_m": _ground(ground)} for name, ground in no_go.parts],
        "loaded_m": _ground(no_go.loaded),
        "whole_m": _ground(no_go.whole),
    }


def _decision(decision: Decision) -> Table:
    return {"code": decision.code, "numbers": {one.name: one.value for one in decision.numbers}}


def _pulse(pulse: PulseCheck | None) -> Table | None:
    if pulse is None:
        return None
    return {
        "returns": pulse.returns,
        "from_s": pulse.from_s,
        "to_s": pulse.to_s,
        "dry_s": list(pulse.dry_s),
        "wet_s": list(pulse.wet_s),
    }


def _back_up(one: BackUp) -> Table:
    return {
        "line": one.line,
        "load_n": one.load_n,
        "sudden_n": one.sudden_n,
        "factor": one.factor,
        "anchor": one.anchor,
        "anchor_hold_n": one.anchor_hold_n,
        "anchor_ratio": one.anchor_ratio,
    }


def _parted(parted: TrackParted) -> Table:
    return {
        "drift_m": parted.drift_m,
        "factor_needed": parted.factor_needed,
        "lines": [_back_up(one) for one in parted.lines],
    }


def _far_lost(lost: FarFerryLost) -> Table:
    return {
        "from_m": lost.from_m,
        "rest_m": lost.rest_m,
        "at_end": lost.at_end,
        "swept_m": [lost.swept_from_m, lost.swept_to_m],
        "boat_at_m": list(lost.boat_at),
        "ground_m": _ground(lost.ground),
    }


def _crew(answers: CrewAnswers) -> Table:
    reached = answers.reached
    return {
        "dangers": [_danger(danger) for danger in answers.dangers],
        "hand_over": [_hand_over(one) for one in answers.hand_overs],
        "posts": _posts(answers.posts),
        "reached": None if reached is None else {"share": reached.share, "ground_m": _ground(reached.ground)},
        "no_go": _no_go(answers.no_go),
        "decisions": [_decision(decision) for decision in answers.decisions],
        "release_order": list(answers.release_order),
        "knives": list(answers.knives),
    }


def _track(answers: TrackAnswers) -> Table:
    return {
        "pulse": _pulse(answers.pulse),
        "track_parted": _parted(answers.track_parted),
        "far_ferry_lost": _far_lost(answers.far_ferry_lost),
        "slack": [{"case": one.case, "slack_m": one.slack_m} for one in answers.slack],
    }


def answers_object(rig: RigPlan) -> Table | None:
    """The answers of one rig; null where they cannot be told."""
    if rig.answers is None:
        return None
    told = _crew(rig.answers)
    if isinstance(rig, TrackLineRig) and rig.track_answers is not None:
        told |= _track(rig.track_answers)
    return told
