"""Anchor features: tie points, their tags, sizes and heights."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import pi
from typing import Final

from atlas.records import Anchor, AnchorUse, Bank
from atlas.survey.geometry import read_shapes
from atlas.survey.properties import COMMON, AnchorProperties, Condition
from atlas.survey.raw import RawFeature
from atlas.survey.report import Report
from atlas.survey.table import Values, read_values

__all__ = ["ASSUMED_HEIGHT_M", "SurveyedAnchor", "check_track_choice", "read_anchor", "tagged"]

_T: Final = AnchorProperties
ASSUMED_HEIGHT_M: Final = 0.5
"""Height of a tie point over the survey day's water where none is given [m]: low, so that it errs safely."""
_SIZES_APART_MOST: Final = 0.10


@dataclass(frozen=True, slots=True)
class SurveyedAnchor:
    """An anchor that could be read, and the number of its feature. Its tag may still be empty."""

    number: int
    record: Anchor


def _diameter(values: Values, report: Report) -> float | None:
    """Diameter [m], given or from the girth."""
    diameter_m, girth_m = values.get(_T.diameter), values.get(_T.girth)
    if girth_m is None:
        return diameter_m
    from_girth_m = girth_m / pi
    if diameter_m is None:
        return from_girth_m
    if abs(diameter_m - from_girth_m) > _SIZES_APART_MOST * max(diameter_m, from_girth_m):
        report.at(field=_T.girth.name).error(
            "sizes_disagree",
            "diameter and girth of the anchor disagree",
            got=f"diameter {diameter_m:.2f} m, girth {girth_m:.2f} m (diameter {from_girth_m:.2f} m)",
            allowed="at most 10% apart",
            todo="keep the one that was measured",
        )
    return diameter_m


def _height(values: Values, report: Report) -> float | None:
    """Height [m] over the survey day's water, or None with the assumption told."""
    height_m = values.get(_T.height)
    if height_m is None and not values.is_faulty(_T.height):
        report.at(field=_T.height.name).warn(
            "anchor_height_assumed",
            f"no height of the tie point: taken as {ASSUMED_HEIGHT_M} m above the water of the survey day",
            allowed=_T.height.reader.expected,
            todo="measure it",
        )
    return height_m


def _note(values: Values, condition: Condition | None) -> str | None:
    """The note, with a condition that asks for a second look before it."""
    note = values.get(_T.note)
    if condition in {Condition.FAIR, Condition.POOR}:
        return f"{condition.value}; {note}" if note else condition.value
    return note


def read_anchor(feature: RawFeature, report: Report, *, placed: bool) -> SurveyedAnchor | None:
    """Read and check one anchor feature; None where something in it is faulty, which is told."""
    mark = len(report.faults)
    values = read_values(_T, feature.properties, report, also=COMMON)
    diameter_m = _diameter(values, report)
    height_m = _height(values, report)
    shapes = read_shapes(feature.geometry, report, kinds=("point",), single=True) if placed else None
    bank, uses = values.get(_T.bank), values.get(_T.use)
    if report.errors_since(mark) or not shapes or bank is None or uses is None:
        return None
    condition = values.get(_T.condition)
    return SurveyedAnchor(
        feature.number,
        Anchor(
            tag=values.get(_T.tag) or "",
            bank=bank,
            uses=uses,
            place=shapes[0].parts[0][0],
            kind=values.get(_T.kind),
            diameter_m=diameter_m,
            height_m=ASSUMED_HEIGHT_M if height_m is None else height_m,
            height_assumed=height_m is None,
            rating_n=values.get(_T.rating),
            do_not_use=condition is Condition.DO_NOT_USE,
            note=_note(values, condition),
        ),
    )


def tagged(anchors: Sequence[SurveyedAnchor], report: Report) -> tuple[SurveyedAnchor, ...]:
    """Give each anchor a tag of its own: N1, N2 on the near bank, F1, F2 on the far one.

    A given tag stays; one given twice is told, whatever its capitals: they are not heard on the radio.
    """
    taken: dict[str, int] = {}
    for anchor in anchors:
        tag = anchor.record.tag
        if tag and taken.setdefault(tag.casefold(), anchor.number) != anchor.number:
            report.at(feature=anchor.number, field=_T.tag.name).error(
                "duplicate_tag",
                "two anchors of the site have the same tag",
                got=f"{tag} on features {taken[tag.casefold()]} and {anchor.number}",
                allowed="a tag of its own for each anchor",
                todo="rename one, on the paper and at the anchor",
            )
    counts = dict.fromkeys(Bank, 0)
    named = []
    for anchor in anchors:
        bank = anchor.record.bank
        counts[bank] += 1
        tag = anchor.record.tag or _free_tag(bank, counts[bank], taken)
        taken.setdefault(tag.casefold(), anchor.number)
        named.append(replace(anchor, record=replace(anchor.record, tag=tag)))
    return tuple(named)


def _free_tag(bank: Bank, count: int, taken: dict[str, int]) -> str:
    letter = "N" if bank is Bank.NEAR else "F"
    while f"{letter}{count}".casefold() in taken:
        count += 1
    return f"{letter}{count}"


def check_track_choice(anchors: Sequence[SurveyedAnchor], report: Report) -> None:
    """Say which anchor the track line is planned on where a bank has several."""
    usable = {bank: [anchor for anchor in anchors if _may_hold_track(anchor.record, bank)] for bank in Bank}
    if not all(usable.values()):
        return
    for bank, several in usable.items():
        if len(several) > 1:
            first = several[0]
            report.at(feature=first.number, field=_T.use.name).warn(
                "track_anchor_choice",
                f"several track anchors on the {bank.value} bank: planned on the first one listed",
                got=", ".join(anchor.record.tag for anchor in several),
                todo=f"list another one first if {first.record.tag} is not the best",
            )


def _may_hold_track(anchor: Anchor, bank: Bank) -> bool:
    return anchor.bank is bank and AnchorUse.TRACK in anchor.uses and not anchor.do_not_use
