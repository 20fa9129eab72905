"""Getting there: both banks in decimal minutes and grid, roads, radio, medical, a code for telephones."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial

from atlas.faults import BlockOverrun
from atlas.frame import DegreesMinutes, degrees_decimal_minutes, geo_uri, usng
from atlas.paper import Box, Cell, Column, Item, Link, Row, Table, lay_table, qr_code
from atlas.records import LonLat, LowHeadDam, NearBank
from atlas.sheets.desk import Desk
from atlas.sheets.dropping import drop_rank
from atlas.sheets.figures import unbroken
from atlas.sheets.pieces import lay_runs, titled
from atlas.sheets.who_comes import who_comes_text
from atlas.units import Figure

BLOCK = "access"
_BANK_MM = 35.5
_GAP_MM = 2.0
_COORDINATE_MM = 4.4
_LABEL_MM, _LABEL_GAP_MM = 11.5, 0.5
_RIM_MM = 0.9
"""How far the code's white rim reaches past the block: its squares then stand on the block's edge."""
_OTHER_SIDE = {NearBank.LEFT: NearBank.RIGHT, NearBank.RIGHT: NearBank.LEFT}


@dataclass(frozen=True, slots=True)
class BankPlace:
    """One bank's heading and its place as crews say it."""

    heading: str
    lines: tuple[str, ...]


def degrees_text(desk: Desk, angle: DegreesMinutes) -> str:
    """``40 deg 52.317 min N``, with its signs."""
    return desk.words(
        "sheet.access.latitude",
        degrees=angle.degrees,
        minutes=f"{angle.minutes:06.3f}",
        hemisphere=angle.hemisphere,
    )


def bank_place(desk: Desk, heading: str, place: LonLat) -> BankPlace:
    """Latitude, longitude and grid reference to the metre."""
    latitude, longitude = degrees_decimal_minutes(place)
    return BankPlace(heading, (degrees_text(desk, latitude), degrees_text(desk, longitude), usng(place)))


def bank_places(desk: Desk) -> tuple[BankPlace, BankPlace]:
    """The access on the near bank, the tie point on the far one."""
    plan, words = desk.plan, desk.words
    near = plan.frame.near_bank
    sides = words(f"sheet.bank.{near.value}"), words(f"sheet.bank.{_OTHER_SIDE[near].value}")
    return (
        bank_place(desk, words("sheet.access.near", side=sides[0]), plan.access_place),
        bank_place(desk, words("sheet.access.far", side=sides[1]), plan.far_tie_place),
    )


def dam_text(desk: Desk, dam: LowHeadDam) -> str:
    """The dam's name, telephone and how long its water takes."""
    words = desk.words
    phone = words("sheet.access.dam_phone", phone=dam.phone) if dam.phone else ""
    travel = ""
    if dam.travel_min is not None:
        minutes = unbroken(desk.first(Figure.MINUTES_LEFT, dam.travel_min))
        travel = words("sheet.access.dam_travel", minutes=minutes)
    return words("sheet.access.dam_text", name=dam.name, phone=phone, travel=travel)


def _line(desk: Desk, text: str | None, tail: str = "", *, width_mm: float | None) -> str:
    """A text and what ends it; where a width is given as many of its words as one line of it holds.

    What is left out is marked by the wording's sign for it: the briefing has the whole.
    """
    told = text or ""
    joined = desk.words("sheet.separator").join(filter(None, (told, tail)))
    if width_mm is None or desk.width_mm(joined, "note") <= width_mm:
        return joined
    told_words = told.split(" ")
    starts = [" ".join(told_words[:count]) for count in range(len(told_words) - 1, 0, -1)]
    starts += [told_words[0][:count] for count in range(len(told_words[0]) - 1, 0, -1)]  # one endless word
    for start in starts:
        cut = desk.words("sheet.access.cut", text=start)
        line = desk.words("sheet.separator").join(filter(None, (cut, tail)))
        if desk.width_mm(line, "note") <= width_mm:
            return line
    return joined


def access_rows(
    desk: Desk, *, short: bool = False, line_mm: float | None = None
) -> tuple[tuple[str, str], ...]:
    """Key and text of each line under the coordinates; what the survey does not say is not there.

    `short`: of who comes no more than who and when; `line_mm`: the rest in one line of that width each.
    """
    access, words = desk.plan.site.access, desk.words
    minutes = ""
    if access.far_minutes is not None:
        shown = unbroken(desk.first(Figure.MINUTES_TO_ARRIVE, access.far_minutes))
        minutes = words("sheet.access.far_minutes", minutes=shown)
    line = partial(_line, desk, width_mm=line_mm)
    texts = {
        "road": line(access.road),
        "far_access": line(access.far_access, minutes),
        "call": who_comes_text(desk, short=short),
        "permission": line(access.permission),
        "dam": dam_text(desk, access.dam) if access.dam else None,
        "radio": line(access.radio or desk.plan.agency.radio),
        "medical": line(access.medical),
    }
    return tuple((key, text) for key, text in texts.items() if text)


def _lay_bank(desk: Desk, bank: BankPlace, box: Box) -> list[Item]:
    items = lay_runs(
        desk,
        [(bank.heading, "strong")],
        x_mm=box.left_mm,
        y_mm=box.top_mm + 2.6,
        width_mm=box.width_mm,
        block=BLOCK,
    )
    for number, line in enumerate(bank.lines):
        items += lay_runs(
            desk, [(line, "figure")], x_mm=box.left_mm, y_mm=box.top_mm + 6.9 + _COORDINATE_MM * number,
            width_mm=box.width_mm, block=BLOCK,
        )  # fmt: skip
    return items


def _lay_rows(desk: Desk, box: Box) -> list[Item]:
    """The rows; where they do not fit, without what each who is called adds, then in one line each.

    The briefing has all of it.
    """
    line_mm = box.width_mm - _LABEL_MM - _LABEL_GAP_MM
    for short, width_mm in ((False, None), (True, None)):
        try:
            return _rows(desk, box, short=short, line_mm=width_mm)
        except BlockOverrun:
            continue
    return _rows(desk, box, short=True, line_mm=line_mm)


def _rows(desk: Desk, box: Box, *, short: bool, line_mm: float | None) -> list[Item]:
    drop = desk.template.block.access.drop
    label, body = desk.styles["label"], desk.styles["note"]
    rows = tuple(
        Row(
            cells=(Cell(text=desk.words(f"sheet.access.{key}"), style=label), text),
            drop=drop_rank((key,), drop),
        )
        for key, text in access_rows(desk, short=short, line_mm=line_mm)
    )
    if not rows:
        return []
    table = Table(
        block=BLOCK,
        columns=(Column(style=body, width_mm=_LABEL_MM), Column(style=body, wraps=True)),
        rows=rows,
        more=desk.words("sheet.more", count="{count}"),
        more_style=label,
        gap_mm=_LABEL_GAP_MM,
        pad_mm=0.04,
        rule=None,
    )
    return list(lay_table(table, box, desk.fonts).items)


def lay_access(desk: Desk) -> list[Item]:
    """The block of places, roads and radio: near bank, far bank, the rest, the code."""
    rule = desk.template.block.access
    box = desk.box(rule)
    items, room = titled(desk, box, desk.words("sheet.access.title"), block=BLOCK)
    for number, bank in enumerate(bank_places(desk)):
        left_mm = room.left_mm + number * (_BANK_MM + _GAP_MM)
        place = Box(left_mm=left_mm, top_mm=room.top_mm, width_mm=_BANK_MM, height_mm=room.height_mm)
        items += _lay_bank(desk, bank, place)
    code = Box(
        left_mm=box.right_mm - rule.qr_mm + _RIM_MM,
        top_mm=box.bottom_mm - rule.qr_mm + _RIM_MM,
        width_mm=rule.qr_mm,
        height_mm=rule.qr_mm,
    )
    uri = geo_uri(desk.plan.access_place)
    items += [qr_code(uri, code, block=BLOCK), Link(box=code, url=uri, block=BLOCK)]
    left_mm = room.left_mm + 2 * (_BANK_MM + _GAP_MM) + 1.0
    text = Box(
        left_mm=left_mm,
        top_mm=box.top_mm + 1.0,
        width_mm=code.left_mm - left_mm,
        height_mm=box.height_mm - 1.0,
    )
    return [*items, *_lay_rows(desk, text)]
