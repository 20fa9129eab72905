"""Who is called for a rig, as data and as a step of the workings."""

from __future__ import annotations

from atlas.plan import Called, CoverPlan
from atlas.units import Figure, UnitSystem
from atlas.workings.section import Section, both

__all__ = ["cover_object", "cover_section"]


def _called(called: Called) -> dict[str, object]:
    return {
        "agency": called.agency,
        "minutes": called.minutes,
        "estimated": called.estimated,
        "ropes": [{"line": rope.line, "rope": rope.rope, "length_m": rope.length_m} for rope in called.ropes],
        "gear": [{"item": gear.item, "count": gear.count} for gear in called.gear],
        "people": called.people,
        "on_duty": called.on_duty,
    }


def cover_object(cover: CoverPlan | None) -> dict[str, object] | None:
    """Who is called, what each adds, when it is complete; None for a rig that cannot be computed."""
    if cover is None:
        return None
    return {
        "first_due_complete": cover.first_due_complete,
        "complete": cover.complete,
        "minutes": cover.minutes,
        "called": [_called(called) for called in cover.called],
        "lines_short": list(cover.lines_short),
        "people": {
            "needed": cover.people_needed,
            "held": cover.people_held,
            "short": cover.people_short,
        },
    }


def _row(called: Called, system: UnitSystem) -> tuple[str, ...]:
    minutes = both(Figure.MINUTES_TO_ARRIVE, called.minutes, system) if called.minutes is not None else "-"
    ropes = ", ".join(f"{rope.line} {rope.rope}" for rope in called.ropes) or "-"
    gear = ", ".join(f"{gear.count} {gear.item}" for gear in called.gear) or "-"
    marked = " estimated" if called.estimated else ""
    return called.agency, minutes + marked, ropes, gear, f"{called.people} of {called.on_duty}"


def cover_section(cover: CoverPlan, system: UnitSystem) -> Section:
    """Who comes, in the order of their minutes, and what each adds to those before."""
    last = "-" if cover.minutes is None else both(Figure.MINUTES_TO_ARRIVE, cover.minutes, system)
    notes = [
        "first due complete alone" if cover.first_due_complete else "first due not complete alone",
        f"complete with those below, the last after {last}"
        if cover.complete
        else "not complete with anybody",
        f"people {cover.people_held} of {cover.people_needed}, short {cover.people_short}",
    ]
    if cover.lines_short:
        notes.append(f"lines that no rope covers: {', '.join(cover.lines_short)}")
    return Section(
        title="Who comes",
        notes=tuple(notes),
        head=("agency", "minutes", "ropes", "gear it adds", "people it adds"),
        rows=tuple(_row(called, system) for called in cover.called),
    )
