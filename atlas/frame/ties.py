"""The two track anchors the line is planned on, and anchors said to be on a bank where they are not."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import radians, tan

from atlas.frame.problems import FrameProblem
from atlas.frame.site_frame import PlacedAnchor
from atlas.records import Anchor, AnchorUse, Bank

__all__ = ["TrackTies", "find_track_ties", "span_problems", "wrong_banks"]

SPAN_LEAST_M, SPAN_MOST_M = 5.0, 500.0
"""Shorter is waded or stepped over; longer is beyond what rope, launcher and frame were shown to serve."""


@dataclass(frozen=True, slots=True)
class TrackTies:
    """The near and far anchor of the track line."""

    near: Anchor
    far: Anchor


def find_track_ties(anchors: Sequence[Anchor]) -> TrackTies | tuple[FrameProblem, ...]:
    """The first usable track anchor of each bank, in the survey's order, or what is missing."""
    tracks = [anchor for anchor in anchors if AnchorUse.TRACK in anchor.uses]
    usable = [anchor for anchor in tracks if not anchor.do_not_use]
    near = next((anchor for anchor in usable if anchor.bank is Bank.NEAR), None)
    far = next((anchor for anchor in usable if anchor.bank is Bank.FAR), None)
    if near is not None and far is not None:
        return TrackTies(near, far)
    if len(usable) > 1:
        return (_one_bank(usable),)
    return tuple(
        _missing(bank, [anchor for anchor in tracks if anchor.bank is bank])
        for bank, found in ((Bank.NEAR, near), (Bank.FAR, far))
        if found is None
    )


def span_problems(span_m: float) -> tuple[FrameProblem, ...]:
    """A span outside the range in which the planning was shown to hold."""
    if SPAN_LEAST_M <= span_m <= SPAN_MOST_M:
        return ()
    return (
        FrameProblem(
            code="span_out_of_range",
            field="geometry",
            got=f"{span_m:.1f} m",
            allowed=f"{SPAN_LEAST_M:.0f} to {SPAN_MOST_M:.0f} m between the two track anchors",
            todo="correct the place of the track anchors",
            what="the span is outside the range of a track line",
            role="anchor",
        ),
    )


def wrong_banks(
    anchors: Sequence[PlacedAnchor],
    *,
    near_edge_x_m: float,
    far_edge_x_m: float,
    span_m: float,
    skew_deg: float,
) -> tuple[FrameProblem, ...]:
    """Anchors that lie beyond the whole width of the water from the bank they are said to be on.

    Each is carried along the flow onto the track line first. Anchors farther up or down than half a
    span are left alone: the river may have turned.
    """
    slope = tan(radians(skew_deg))
    problems = []
    for anchor in anchors:
        along_m = anchor.at[0] - anchor.at[1] * slope
        beyond = along_m > far_edge_x_m if anchor.bank is Bank.NEAR else along_m < near_edge_x_m
        if beyond and abs(anchor.at[1]) <= span_m / 2.0:
            problems.append(_wrong_bank(anchor))
    return tuple(problems)


def _one_bank(usable: Sequence[Anchor]) -> FrameProblem:
    bank = usable[0].bank
    return FrameProblem(
        code="track_anchors_one_bank",
        field="bank",
        got=f"{', '.join(anchor.tag for anchor in usable)} all on the {bank.value} bank",
        allowed="a usable track anchor on each bank",
        todo=f"correct the bank of one of them, or survey a track anchor on the {_other(bank).value} bank",
        what="all usable track anchors are on one bank",
        role="anchor",
    )


def _missing(bank: Bank, unusable: Sequence[Anchor]) -> FrameProblem:
    tags = ", ".join(f"{anchor.tag} (do_not_use)" for anchor in unusable)
    return FrameProblem(
        code="track_anchor_missing",
        field="use",
        got=f"only {tags}" if tags else "none",
        allowed="a usable anchor with use track on each bank",
        todo=f"survey a track anchor on the {bank.value} bank",
        what=f"no usable track anchor on the {bank.value} bank",
        role="anchor",
    )


def _wrong_bank(anchor: PlacedAnchor) -> FrameProblem:
    return FrameProblem(
        code="anchor_wrong_bank",
        field="bank",
        got=f"{anchor.tag} with bank {anchor.bank.value}, across the water from it",
        allowed="near or far as the anchor lies",
        todo=f"correct the bank of {anchor.tag} or its place",
        what="an anchor lies on the other bank than it says",
        role="anchor",
    )


def _other(bank: Bank) -> Bank:
    return Bank.FAR if bank is Bank.NEAR else Bank.NEAR
