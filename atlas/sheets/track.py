"""The track line: set tension and its window, haul, lock-off, carriage travel, closest boat, release."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from atlas.paper import Box, Item, Span, spans_width_mm
from atlas.plan.rig_results import RigPlan
from atlas.plan.track_results import TrackLineRig
from atlas.sheets.desk import Desk
from atlas.sheets.figures import number_and_unit, range_of
from atlas.sheets.pieces import lay_runs, spans_of, titled
from atlas.units import Figure, Shown, printed_window

BLOCK = "track"
_LABEL_MM = 12.0


@dataclass(frozen=True, slots=True)
class TrackRow:
    """A label, the figure a crew acts on, and what stands after it in small print."""

    label: str
    figure: str
    note: str = ""
    short: tuple[str, ...] = ()
    """What stands for the note where it finds no room, the fullest first."""


def window_shown(desk: Desk, rig: TrackLineRig) -> Shown | None:
    """The window of set tension in both units; None where there is none."""
    if rig.window is None:
        return None
    ends = printed_window(low_n=rig.window.low_n, high_n=rig.window.high_n, system=desk.system)
    return None if ends is None else range_of(desk.words, *ends)


def haul_sets(desk: Desk, rig: TrackLineRig) -> str:
    """What the printed haul sets, from least to most."""
    least = desk.show(Figure.HAUL_LEAST, rig.haul.least_n)
    most = desk.show(Figure.HAUL_MOST, rig.haul.most_n)
    return range_of(desk.words, least, most).first


def haul_text(desk: Desk, rig: TrackLineRig) -> str:
    """The haul's system and its people."""
    people = desk.first(Figure.PEOPLE_NEEDED, rig.haul.people)
    return desk.words("sheet.track.haul_value", system=rig.haul.system, people=people)


def _set_row(desk: Desk, rig: TrackLineRig) -> TrackRow:
    words = desk.words
    shown = window_shown(desk, rig)
    if shown is None:
        return TrackRow(words("sheet.track.set"), words("sheet.track.no_window"))
    seating = words("sheet.track.seating", seating=desk.first(Figure.SEATING, rig.seating_m))
    note = words("sheet.separator").join((shown.second, seating))
    return TrackRow(words("sheet.track.set"), shown.first, note)


def _travel_text(desk: Desk, rig: TrackLineRig) -> str:
    """The rope the haul takes in, of the clear run behind the near anchor where that is known."""
    travel = desk.first(Figure.HAUL_TRAVEL, rig.haul.travel_m)
    run_m = desk.plan.site.access.near_run_m
    if run_m is None:
        return desk.words("sheet.track.haul_takes", travel=travel)
    run = desk.first(Figure.NEAR_RUN, run_m)
    return desk.words("sheet.track.haul_takes_of", travel=number_and_unit(travel)[0], run=run)


def _haul_row(desk: Desk, rig: TrackLineRig) -> TrackRow:
    """System and people; what that sets, and the rope it takes in against the clear run behind the anchor."""
    words = desk.words
    notes = [words("sheet.track.haul_sets", sets=haul_sets(desk, rig))]
    if rig.haul.fits:
        notes.append(_travel_text(desk, rig))
    else:  # what it takes in matters of a haul that serves
        notes.append(words("sheet.track.haul_misfit"))
    return TrackRow(words("sheet.track.haul"), haul_text(desk, rig), words("sheet.separator").join(notes))


def _pulse_rows(desk: Desk, rig: TrackLineRig) -> list[TrackRow]:
    """Seconds in which a pulse must return; none without a window."""
    words = desk.words
    pulse = None if rig.track_answers is None else rig.track_answers.pulse
    if pulse is None:
        return []
    label = words("sheet.track.pulse")
    from_s, to_s = pulse.from_s, pulse.to_s
    notes = [words("sheet.track.pulse_note")]
    if from_s is None or to_s is None:
        from_s, to_s = pulse.dry_s
        notes = [words(f"sheet.track.{key}") for key in ("pulse_note_dry", "pulse_note_dry_short")]
    ends = desk.show(Figure.PULSE_FROM, from_s), desk.show(Figure.PULSE_TO, to_s)
    figure = words(
        "sheet.track.pulse_value",
        count=desk.first(Figure.COUNT, pulse.returns),
        range=range_of(words, *ends).first,
    )
    return [TrackRow(label, figure, notes[0], short=tuple(notes[1:]))]


def _over_rows(desk: Desk, rig: TrackLineRig) -> list[TrackRow]:
    """Who must hold the track line if it drags in the water while it is brought over."""
    words, answers = desk.words, rig.answers
    pulls = () if answers is None else answers.hand_overs
    track = next((pull for pull in pulls if pull.line == "track"), None)
    if track is None:
        return []
    few, many = (
        desk.first(Figure.PEOPLE_NEEDED, people) for people in (track.slack_people, track.tight_people)
    )
    key = "sheet.track.over_same" if few == many else "sheet.track.over_value"
    figure = words(key, few=few) if few == many else words(key, few=few, many=many)
    return [TrackRow(words("sheet.track.over"), figure, words("sheet.track.over_note"))]


def _slack_text(desk: Desk, rig: TrackLineRig) -> str:
    """Slack the up-down line may have; nothing where no slack passes its limit, or none is known."""
    answers = rig.track_answers
    allowed = [] if answers is None else [one.slack_m for one in answers.slack if one.slack_m is not None]
    if not allowed:
        return ""
    shown = desk.first(Figure.SLACK_BUDGET, min(allowed))
    if float(number_and_unit(shown)[0]) == 0.0:
        return desk.words("sheet.track.slack_none")
    return desk.words("sheet.track.slack_most", slack=shown)


def _boat_rows(desk: Desk, rig: TrackLineRig) -> list[TrackRow]:
    """How near the held boat may come, and how much slack its line may have."""
    if rig.closest_boat_m is None:
        return []
    words = desk.words
    distance = desk.first(Figure.CLOSEST_BOAT, rig.closest_boat_m)
    slack = _slack_text(desk, rig)
    note, short = (
        words("sheet.separator").join(filter(None, (words(f"sheet.track.{key}"), slack)))
        for key in ("boat_note", "boat_note_short")
    )
    figure = words("sheet.track.boat_value", distance=distance)
    return [TrackRow(words("sheet.track.boat"), figure, note, short=(short, *filter(None, (slack,))))]


def capture_text(desk: Desk, rig: TrackLineRig) -> str:
    """What captures the line and what it holds, or that the line is tied off behind it."""
    words = desk.words
    capture = words(f"gear.{rig.capture}") if words.has(f"gear.{rig.capture}") else rig.capture
    if rig.capture_limit_n is None:
        return words("sheet.track.tied_off", capture=capture)
    limit = desk.first(Figure.STRENGTH_HELD, rig.capture_limit_n)
    return words("sheet.track.capture_holds", capture=capture, limit=limit)


def _carriage_row(desk: Desk, rig: TrackLineRig) -> TrackRow:
    words = desk.words
    ends = {
        "from": desk.first(Figure.TRAVEL_FROM, rig.travel_from_m),
        "to": desk.first(Figure.TRAVEL_TO, rig.travel_to_m),
    }
    figure = words("sheet.track.carriage_value", **ends)
    return TrackRow(words("sheet.track.carriage"), figure, words("sheet.track.carriage_note"))


def release_text(desk: Desk, rig: RigPlan) -> str:
    """What is let go in its order; lines let go together count once."""
    words = desk.words
    order = () if rig.answers is None else rig.answers.release_order
    names = dict.fromkeys(words(f"sheet.release.{line}") for line in order)
    return words("sheet.release.joined").join(
        words("sheet.release.numbered", number=number, line=name) for number, name in enumerate(names, 1)
    )


def release_rows(desk: Desk, rig: RigPlan) -> list[TrackRow]:
    """The release order; none where it cannot be told."""
    text = release_text(desk, rig)
    return [TrackRow(desk.words("sheet.track.release"), text)] if text else []


def track_rows(desk: Desk, rig: TrackLineRig) -> tuple[TrackRow, ...]:
    """Everything printed of the track line, in the order of the work."""
    words = desk.words
    return (
        *_over_rows(desk, rig),
        _set_row(desk, rig),
        *_pulse_rows(desk, rig),
        _haul_row(desk, rig),
        TrackRow(words("sheet.track.lock_off"), "", capture_text(desk, rig)),
        _carriage_row(desk, rig),
        *_boat_rows(desk, rig),
        *release_rows(desk, rig),
    )


def _fitting_note(desk: Desk, row: TrackRow, width_mm: float) -> str:
    """The fullest note that stands beside the figure: its last pieces go first."""
    gap = desk.words("sheet.separator")
    pieces = row.note.split(gap)
    notes = (row.note, *row.short, *(gap.join(pieces[:count]) for count in range(len(pieces) - 1, 0, -1)))
    for note in notes:
        runs = [(row.figure, "figure"), (note, "body")]
        if spans_width_mm(spans_of(desk, runs) or (Span("", desk.styles["body"]),), desk.fonts) <= width_mm:
            return note
    return notes[-1]


def lay_rows(desk: Desk, title: str, rows: Sequence[TrackRow]) -> list[Item]:
    """The block of the rig: its rows share the height between them."""
    box = desk.box(desk.template.block.track)
    items, room = titled(desk, box, title, block=BLOCK, note=desk.words(f"rig.{desk.plan.chosen.rig}"))
    if not rows:
        return items
    step_mm = room.height_mm / len(rows)
    for number, row in enumerate(rows):
        place = Box(
            left_mm=room.left_mm,
            top_mm=room.top_mm + number * step_mm,
            width_mm=room.width_mm,
            height_mm=step_mm,
        )
        base_mm = place.top_mm + step_mm / 2 + 1.05
        items += lay_runs(
            desk, [(row.label, "label")], x_mm=place.left_mm, y_mm=base_mm, width_mm=_LABEL_MM, block=BLOCK
        )
        width_mm = place.width_mm - _LABEL_MM
        note = _fitting_note(desk, row, width_mm)
        items += lay_runs(
            desk, [(row.figure, "figure"), (note, "body")], x_mm=place.left_mm + _LABEL_MM, y_mm=base_mm,
            width_mm=width_mm, block=BLOCK,
        )  # fmt: skip
    return items
