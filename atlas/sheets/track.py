"""The track line: set tension and its window, haul, pulse check, lock-off, travel, closest boat, release."""

from __future__ import annotations

from dataclasses import dataclass

from atlas.paper import Box, Item
from atlas.plan.track_results import TrackLineRig
from atlas.sheets.desk import Desk
from atlas.sheets.figures import range_of, span_of
from atlas.sheets.pieces import lay_runs, titled
from atlas.units import Figure, Shown, printed_window

BLOCK = "track"
_LABEL_MM = 14.0


@dataclass(frozen=True, slots=True)
class TrackRow:
    """A label, the figure a crew acts on, what stands after it in small print; and perhaps once more."""

    label: str
    figure: str
    note: str = ""
    more_figure: str = ""
    more_note: str = ""


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


def _haul_row(desk: Desk, rig: TrackLineRig) -> TrackRow:
    words = desk.words
    note = words("sheet.track.haul_sets", sets=haul_sets(desk, rig))
    if not rig.haul.fits:
        note = words("sheet.separator").join((note, words("sheet.track.haul_misfit")))
    return TrackRow(words("sheet.track.haul"), haul_text(desk, rig), note)


def _travel_row(desk: Desk, rig: TrackLineRig) -> TrackRow:
    words = desk.words
    run_m = desk.plan.site.access.near_run_m
    note = "" if run_m is None else words("sheet.track.travel_run", run=desk.first(Figure.NEAR_RUN, run_m))
    return TrackRow(words("sheet.track.travel"), desk.first(Figure.HAUL_TRAVEL, rig.haul.travel_m), note)


def capture_text(desk: Desk, rig: TrackLineRig) -> str:
    """What captures the line and what it holds, or that the line is tied off behind it."""
    words = desk.words
    capture = words(f"gear.{rig.capture}") if words.has(f"gear.{rig.capture}") else rig.capture
    if rig.capture_limit_n is None:
        return words("sheet.track.tied_off", capture=capture)
    limit = desk.first(Figure.STRENGTH_HELD, rig.capture_limit_n)
    return words("sheet.track.capture_holds", capture=capture, limit=limit)


def _carriage_row(desk: Desk, rig: TrackLineRig) -> TrackRow:
    """How far the carriage works, and how near under it the boat may come."""
    words = desk.words
    ends = (desk.first(Figure.TRAVEL_FROM, rig.travel_from_m), desk.first(Figure.TRAVEL_TO, rig.travel_to_m))
    figure, label = span_of(words, *ends), words("sheet.track.carriage")
    if rig.closest_boat_m is None:
        return TrackRow(label, figure, words("sheet.track.carriage_note"))
    boat = desk.first(Figure.CLOSEST_BOAT, rig.closest_boat_m)
    return TrackRow(label, figure, words("sheet.track.carriage_boat"), boat, words("sheet.track.boat_note"))


def _pulse_row(desk: Desk, rig: TrackLineRig) -> TrackRow | None:
    """Seconds of the pulse inside the window; what a dry rope's are, where only that can be told."""
    pulse = None if rig.track_answers is None else rig.track_answers.pulse
    if pulse is None:
        return None
    words, note = desk.words, "sheet.track.pulse_note"
    from_s, to_s = pulse.from_s, pulse.to_s
    if from_s is None or to_s is None:
        (from_s, to_s), note = pulse.dry_s, "sheet.track.pulse_dry"
    ends = (desk.first(Figure.PULSE_FROM, from_s), desk.first(Figure.PULSE_TO, to_s))
    return TrackRow(words("sheet.track.pulse"), span_of(words, *ends), words(note, returns=pulse.returns))


def release_text(desk: Desk, rig: TrackLineRig) -> str:
    """What is let go in its order; lines let go together count once."""
    words = desk.words
    order = () if rig.answers is None else rig.answers.release_order
    names = dict.fromkeys(words(f"sheet.release.{line}") for line in order)
    return words("sheet.release.joined").join(
        words("sheet.release.numbered", number=number, line=name) for number, name in enumerate(names, 1)
    )


def track_rows(desk: Desk) -> tuple[TrackRow, ...]:
    """Everything printed of the track line, in the order of the work."""
    rig, words = desk.plan.track_line, desk.words
    rows = [_set_row(desk, rig), _haul_row(desk, rig), _travel_row(desk, rig)]
    pulse, release = _pulse_row(desk, rig), release_text(desk, rig)
    if pulse is not None:
        rows.append(pulse)
    rows.append(TrackRow(words("sheet.track.lock_off"), "", capture_text(desk, rig)))
    rows.append(_carriage_row(desk, rig))
    if release:
        rows.append(TrackRow(words("sheet.track.release"), release))
    return tuple(rows)


def lay_track(desk: Desk) -> list[Item]:
    """The block of the track line."""
    box = desk.box(desk.template.block.track)
    items, room = titled(
        desk,
        box,
        desk.words("sheet.track.title"),
        block=BLOCK,
        note=desk.words(f"rig.{desk.plan.track_line.rig}"),
    )
    rows = track_rows(desk)
    step_mm = room.height_mm / len(rows)
    for number, row in enumerate(rows):
        place = Box(
            left_mm=room.left_mm,
            top_mm=room.top_mm + number * step_mm,
            width_mm=room.width_mm,
            height_mm=step_mm,
        )
        base_mm = place.top_mm + step_mm / 2 + 1.2
        items += lay_runs(
            desk, [(row.label, "label")], x_mm=place.left_mm, y_mm=base_mm, width_mm=_LABEL_MM, block=BLOCK
        )
        items += lay_runs(
            desk,
            [
                (row.figure, "figure"),
                (row.note, "body"),
                (row.more_figure, "figure"),
                (row.more_note, "body"),
            ],
            x_mm=place.left_mm + _LABEL_MM, y_mm=base_mm,
            width_mm=place.width_mm - _LABEL_MM, block=BLOCK,
        )  # fmt: skip
    return items
