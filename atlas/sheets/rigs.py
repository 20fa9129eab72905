"""The rigs that were not chosen, a line each: longest rope, people, from which speed outside plan, or why."""

from __future__ import annotations

from dataclasses import dataclass

from atlas.paper import Item, Span, lay_spans, spans_width_mm
from atlas.plan.rig_results import RigPlan
from atlas.sheets.desk import Desk
from atlas.sheets.pieces import rule
from atlas.sheets.stop import is_outside
from atlas.units import Figure

BLOCK = "rigs"
_TOP_MM = 0.9
_STEP_MM = 3.1


@dataclass(frozen=True, slots=True)
class OtherRig:
    """One rig: its name, what it takes, and its verdict."""

    name: str
    takes: str
    takes_short: str
    """Where `takes` finds no room."""
    verdict: str
    outside: bool


def reason_codes(rig: RigPlan) -> tuple[str, ...]:
    """Why the planning row is outside plan: codes of the judged cases, each once."""
    judged = [case for case in rig.planning.cases if case.judged]
    return tuple(dict.fromkeys(note.code for case in judged for note in case.why))


def _cause(desk: Desk, code: str) -> str:
    own = f"sheet.rigs.cause.{code}"
    return desk.words(own if desk.words.has(own) else f"governed.{code}")


def _verdict(desk: Desk, rig: RigPlan) -> str:
    words = desk.words
    if rig.cannot is not None:
        return words("sheet.rigs.cannot")
    if is_outside(rig):
        causes = [_cause(desk, code) for code in reason_codes(rig)[:1]]
        return words("sheet.rigs.outside", why=words("sheet.separator").join(causes))
    if rig.limit is None:
        return ""
    speed = desk.first(Figure.LIMIT_SPEED, rig.limit.surface_speed_m_s)
    return words("sheet.rigs.limit", speed=speed)


def other_rig(desk: Desk, rig: RigPlan) -> OtherRig:
    """What is printed of a rig that was not chosen."""
    words = desk.words
    if rig.cannot is not None:
        return OtherRig(words(f"rig.{rig.rig}"), "", "", _verdict(desk, rig), outside=True)
    longest_m = max((line.needed_m for line in rig.lines), default=0.0)
    values = {
        "length": desk.first(Figure.NEEDED_LENGTH, longest_m),
        "people": desk.first(Figure.PEOPLE_NEEDED, rig.people),
    }
    takes, short = (words(f"sheet.rigs.{key}", **values) for key in ("takes", "takes_short"))
    return OtherRig(words(f"rig.{rig.rig}"), takes, short, _verdict(desk, rig), is_outside(rig))


def _spans(desk: Desk, rig: OtherRig, width_mm: float) -> tuple[Span, ...]:
    """The rig on one line; what it takes is told shorter where the verdict needs the room, or left out."""
    strong, note = desk.styles["note_strong"], desk.styles["note"]
    name, verdict = Span(f"{rig.name}  ", strong), Span(rig.verdict, strong if rig.outside else note)
    for takes in filter(None, (rig.takes, rig.takes_short)):
        whole = (name, Span(f"{takes}{desk.words('sheet.separator')}", note), verdict)
        if spans_width_mm(whole, desk.fonts) <= width_mm:
            return whole
    return name, verdict


def lay_rigs(desk: Desk) -> list[Item]:
    """The block of the other rigs; nothing where there is one rig alone."""
    others = [other_rig(desk, rig) for rig in desk.plan.rigs if not rig.chosen]
    if not others:
        return []
    box = desk.box(desk.template.block.rigs)
    items: list[Item] = [rule(desk, box, box.top_mm, block=BLOCK)]
    for number, rig in enumerate(others):
        under = box.below(_TOP_MM + number * _STEP_MM)
        items += lay_spans(_spans(desk, rig, box.width_mm), under, desk.fonts, block=BLOCK)
    return items
