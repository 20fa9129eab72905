"""The rigs that were not chosen, a line each: longest rope, people, from which speed outside plan, or why."""

from __future__ import annotations

from dataclasses import dataclass

from atlas.paper import Item, Span, lay_spans
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
    """What a rig is outside plan by, in a word or two."""
    short = f"sheet.rigs.why.{code}"
    return desk.words(short if desk.words.has(short) else f"governed.{code}")


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


def _width_mm(desk: Desk, rig: OtherRig, takes: str) -> float:
    end = "note_strong" if rig.outside else "note"
    parts = ((f"{rig.name}  ", "note_strong"), (takes, "note"), (rig.verdict, end))
    return sum(desk.width_mm(text, style) for text, style in parts)


def lay_rigs(desk: Desk) -> list[Item]:
    """The block of the other rigs; nothing where there is one rig alone."""
    others = [other_rig(desk, rig) for rig in desk.plan.rigs if not rig.chosen]
    if not others:
        return []
    box = desk.box(desk.template.block.rigs)
    strong, note = desk.styles["note_strong"], desk.styles["note"]
    items: list[Item] = [rule(desk, box, box.top_mm, block=BLOCK)]
    gap = desk.words("sheet.separator")
    for number, rig in enumerate(others):
        end = strong if rig.outside else note
        texts = [f"{takes}{gap}" if takes else "" for takes in (rig.takes, rig.takes_short)]
        kept = next((text for text in texts if _width_mm(desk, rig, text) <= box.width_mm), texts[-1])
        spans = [Span(f"{rig.name}  ", strong), *([Span(kept, note)] if kept else []), Span(rig.verdict, end)]
        items += lay_spans(spans, box.below(_TOP_MM + number * _STEP_MM), desk.fonts, block=BLOCK)
    return items
