"""Lines: tag, length needed, the rope to take and whose, or how much the nearest is short by."""

from __future__ import annotations

from dataclasses import dataclass

from atlas.paper import Align, Box, Item, Rect, Text
from atlas.paper.looks import Looks
from atlas.plan.rig_results import LinePlan
from atlas.sheets.desk import Desk
from atlas.sheets.figures import number_and_unit
from atlas.sheets.pieces import TITLE_BASE_MM, lay_runs, rule, titled
from atlas.units import Figure, Shown

BLOCK = "lines"
TAG_HEIGHT_MM = 3.5
_TAG_LEAST_MM = 4.6
_TAG_PAD_MM = 1.3
_TAG_COLUMN_MM = 7.4
_NEEDED_MM = 15.0
_TAKE_MM = 18.0
_NOTE_OVER_MM = 3.0
"""The text under the name may reach under the needed figure, which is never that wide."""
_FIRST_MM = 3.05
_SECOND_MM = 5.73
"""Baselines of a row from its rule."""


@dataclass(frozen=True, slots=True)
class LineRow:
    """One line as printed: each of needed and take in both units, and under the name whose rope."""

    tag: str
    name: str
    note: str
    needed: Shown
    take: Shown
    short: bool = False


def tag_of(desk: Desk, line: str) -> str:
    """The letters by which a line is known on plan and in the table."""
    return desk.words(f"sheet.line_tag.{line}")


def tag_width_mm(desk: Desk | Looks, tag: str) -> float:
    """How wide a tag prints."""
    return max(_TAG_LEAST_MM, desk.fonts.width_mm(tag, desk.styles["line_tag"]) + _TAG_PAD_MM)


def lay_tag(desk: Desk | Looks, tag: str, *, x_mm: float, y_mm: float, block: str) -> list[Item]:
    """White letters on a black bar about a centre."""
    style = desk.styles["line_tag"]
    width_mm = tag_width_mm(desk, tag)
    ink = desk.colours["ink"]
    box = Box(
        left_mm=x_mm - width_mm / 2,
        top_mm=y_mm - TAG_HEIGHT_MM / 2,
        width_mm=width_mm,
        height_mm=TAG_HEIGHT_MM,
    )
    cap_mm = desk.fonts.heights(style).cap_mm
    text = Text(x_mm=x_mm, y_mm=y_mm + cap_mm / 2, text=tag, style=style, align=Align.CENTRE, block=block)
    return [Rect(box=box, fill=ink, block=block), text]


def _joined(desk: Desk, texts: list[str]) -> str:
    """Several figures of one unit, the unit once: ``200 + 150 ft``."""
    *numbers, last = texts
    return desk.words("sheet.lines.joined").join([*(number_and_unit(text)[0] for text in numbers), last])


def rope_note(desk: Desk, line: LinePlan) -> str:
    """The ropes' names, whose they are if not the first-due agency's, and how thick where that fits."""
    words = desk.words
    name = words("sheet.lines.joined").join(dict.fromkeys(rope.rope for rope in line.take))
    if line.take[0].agency != desk.plan.agency.code:
        name = words("sheet.lines.of_agency", agency=line.take[0].agency, rope=name)
    diameter = desk.first(Figure.ROPE_DIAMETER, line.take[0].diameter_m)
    whole = words("sheet.lines.rope", rope=name, diameter=diameter)
    return whole if desk.width_mm(whole, "label") <= _note_mm(desk) else name


def _nearest_note(desk: Desk, line: LinePlan) -> str:
    """The rope that falls short and whose it is; or that nobody has one of the kind."""
    near, words = line.nearest, desk.words
    if near is None:
        return words("sheet.lines.none")
    whole = words("sheet.lines.nearest", agency=near.agency, rope=near.rope)
    if desk.width_mm(whole, "label") <= _note_mm(desk):
        return whole
    return words("sheet.lines.nearest_of", agency=near.agency)


def _note_mm(desk: Desk) -> float:
    """Room for the text under a line's name."""
    return desk.template.block.lines.width_mm - _TAG_COLUMN_MM - _NEEDED_MM - _TAKE_MM + _NOTE_OVER_MM


def _take(desk: Desk, line: LinePlan) -> tuple[Shown, str]:
    """The rope to take in both units, and whose; or what is short; or how the line is thrown."""
    words = desk.words
    if line.short_m > 0:
        short = words("sheet.lines.short_by", short=desk.first(Figure.SHORT_LENGTH, line.short_m))
        return Shown(words("sheet.lines.short"), short), _nearest_note(desk, line)
    if line.take:
        lengths = [desk.show(Figure.ROPE_HELD, rope.length_m) for rope in line.take]
        first = _joined(desk, [length.first for length in lengths])
        return Shown(first, _joined(desk, [length.second for length in lengths])), rope_note(desk, line)
    method = desk.plan.site.access.launch_method if line.line == "launch" else None
    if method is None:
        return Shown(words("sheet.unknown")), ""
    return Shown(""), words(f"sheet.launch_method.{method}")


def line_row(desk: Desk, line: LinePlan) -> LineRow:
    """What is printed of one line."""
    take, note = _take(desk, line)
    return LineRow(
        tag=tag_of(desk, line.line),
        name=desk.words(f"line.{line.line}"),
        note=note,
        needed=desk.show(Figure.NEEDED_LENGTH, line.needed_m),
        take=take,
        short=line.short_m > 0,
    )


def _lay_row(desk: Desk, row: LineRow, box: Box) -> list[Item]:
    """A row in two lines: name and figures, under them whose rope and the second unit."""
    first_mm, second_mm = box.top_mm + _FIRST_MM, box.top_mm + _SECOND_MM
    tag_mm = box.left_mm + tag_width_mm(desk, row.tag) / 2
    items = lay_tag(desk, row.tag, x_mm=tag_mm, y_mm=first_mm - 1.1, block=BLOCK)
    name_mm = box.left_mm + _TAG_COLUMN_MM
    take_mm = box.right_mm - _TAKE_MM
    needed_mm = take_mm - _NEEDED_MM
    second = "strong" if row.short else "unit"
    for text, style, left_mm, width_mm, y_mm, align in (
        (row.name, "strong", name_mm, needed_mm - name_mm, first_mm, Align.LEFT),
        (row.needed.first, "figure", needed_mm, _NEEDED_MM, first_mm, Align.RIGHT),
        (row.take.first, "figure", take_mm, _TAKE_MM, first_mm, Align.RIGHT),
        (row.note, "label", name_mm, _note_mm(desk), second_mm, Align.LEFT),
        (row.needed.second, "unit", needed_mm, _NEEDED_MM, second_mm, Align.RIGHT),
        (row.take.second, second, take_mm, _TAKE_MM, second_mm, Align.RIGHT),
    ):
        items += lay_runs(
            desk, [(text, style)], x_mm=left_mm, y_mm=y_mm, width_mm=width_mm, block=BLOCK, align=align
        )
    return items


def lay_lines(desk: Desk) -> list[Item]:
    """The block of lines."""
    box = desk.box(desk.template.block.lines)
    words = desk.words
    items, room = titled(desk, box, words("sheet.lines.title"), block=BLOCK)
    for name, right_mm in (("needed", box.right_mm - _TAKE_MM), ("take", box.right_mm)):
        items += lay_runs(
            desk, [(words(f"sheet.lines.{name}"), "column")], x_mm=box.left_mm,
            y_mm=box.top_mm + TITLE_BASE_MM, width_mm=right_mm - box.left_mm, block=BLOCK, align=Align.RIGHT,
        )  # fmt: skip
    lines = desk.plan.chosen.lines
    step_mm = room.height_mm / max(1, len(lines))
    for number, line in enumerate(lines):
        top_mm = room.top_mm + number * step_mm
        row = Box(left_mm=room.left_mm, top_mm=top_mm, width_mm=room.width_mm, height_mm=step_mm)
        if number:
            items.append(rule(desk, row, top_mm, stroke="hairline", block=BLOCK))
        items += _lay_row(desk, line_row(desk, line), row)
    return items
