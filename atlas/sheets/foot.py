"""The foot: how old the survey is, the edition, limits used, checks by initials, what the sheet is not."""

from __future__ import annotations

from dataclasses import replace

from atlas.paper import Align, Box, Item, lay_text
from atlas.plan.results import LimitUsed
from atlas.plan.track_results import TrackLineRig
from atlas.sheets.desk import Desk
from atlas.sheets.figures import date_text, unbroken
from atlas.sheets.pieces import lay_runs, rule
from atlas.units import Figure

BLOCK = "foot"
CHECKS = ("anchors", "lock_off", "link")
OTHER_CHECKS = ("anchors", "devices", "knots")
"""Of a rig that locks no line off."""
_FIGURE_BY_KEY = {
    "clearance": Figure.CLEARANCE_NEEDED,
    "clearance_boats": Figure.CLEARANCE_NEEDED,
    "clearance_closest_boat": Figure.CLEARANCE_NEEDED,
    "anchor_track_least": Figure.STRENGTH_NEEDED,
    "anchor_station_least": Figure.STRENGTH_NEEDED,
    "pull_per_person": Figure.TENSION,
    "general_use": Figure.STRENGTH_HELD,
    "technical_use": Figure.STRENGTH_HELD,
    "default": Figure.STRENGTH_HELD,
    "soft_hitch_wet": Figure.STRENGTH_HELD,
    "factor_track": Figure.FACTOR_NEEDED,
    "factor_lines": Figure.FACTOR_NEEDED,
    "anchor_ratio": Figure.FACTOR_NEEDED,
    "rule_of_12": Figure.COUNT,
    "rule_of_18": Figure.COUNT,
    "survey_valid_months": Figure.COUNT,
    "included_angle_most": Figure.ANGLE_MOST,
}
_CHECKS_MM = 50.0
_GAP_MM = 4.0
_FIELD_GAP_MM = 2.0
_FIRST_MM = 3.3
_LAST_MM = 0.7
_LAST_LINE_MM = 2.4
_EDITION_GAP_MM = 2.5
EDITION_BLOCK = "edition"


def limit_text(desk: Desk, limit: LimitUsed) -> str | None:
    """A limit of the agency's as printed; None for one that the wording does not name."""
    name = limit.key.rsplit(".", 1)[-1]
    key = f"sheet.limit.{name}"
    figure = _FIGURE_BY_KEY.get(name)
    if figure is None or not desk.words.has(key):
        return None
    return unbroken(desk.words(key, value=desk.first(figure, limit.value)))


def limits_text(desk: Desk) -> str:
    """The limits that took part in the verdict."""
    texts = [text for limit in desk.plan.limits_used if (text := limit_text(desk, limit)) is not None]
    return desk.words("sheet.foot.limits", list=desk.words("sheet.separator").join(texts))


def survey_text(desk: Desk) -> str:
    """Survey date and until when it may be used."""
    plan = desk.plan
    surveyed, until = date_text(plan.site.access.surveyed), date_text(plan.valid_until)
    key = "sheet.foot.overdue" if plan.overdue else "sheet.foot.survey"
    return desk.words(key, surveyed=surveyed, until=until)


def _lay_checks(desk: Desk, box: Box) -> list[Item]:
    """Lines to sign: who checked what, and when."""
    words = desk.words
    items = lay_runs(
        desk, [(words("sheet.foot.checked"), "label")], x_mm=box.left_mm, y_mm=box.top_mm + _FIRST_MM,
        width_mm=box.width_mm, block=BLOCK,
    )  # fmt: skip
    checks = CHECKS if isinstance(desk.plan.chosen, TrackLineRig) else OTHER_CHECKS
    each_mm = box.width_mm / len(checks)
    for number, name in enumerate(checks):
        field = replace(box, left_mm=box.left_mm + number * each_mm, width_mm=each_mm - _FIELD_GAP_MM)
        items.append(rule(desk, field, box.bottom_mm - 0.4, stroke="hairline", block=BLOCK))
        items += lay_runs(
            desk, [(words(f"sheet.foot.{name}"), "label")], x_mm=field.left_mm, y_mm=box.bottom_mm - 1.2,
            width_mm=field.width_mm, block=BLOCK,
        )  # fmt: skip
    return items


def _lay_last_line(desk: Desk, box: Box) -> list[Item]:
    """What the sheet is not; then the edition, a block of its own that moves nothing."""
    words = desk.words
    y_mm = box.bottom_mm - _LAST_MM
    edition = words("sheet.foot.edition", edition=desk.plan.edition)
    room_mm = box.width_mm - desk.width_mm(edition, "strong") - _EDITION_GAP_MM
    items = lay_runs(
        desk, [(words("sheet.foot.statement"), "small")], x_mm=box.left_mm, y_mm=y_mm, width_mm=room_mm,
        block=BLOCK,
    )  # fmt: skip
    items += lay_runs(
        desk, [(edition, "strong")], x_mm=box.left_mm, y_mm=y_mm, width_mm=box.width_mm, block=EDITION_BLOCK,
        align=Align.RIGHT,
    )  # fmt: skip
    return items


def lay_foot(desk: Desk) -> list[Item]:
    """The foot of the sheet."""
    box = desk.box(desk.template.block.foot)
    left = replace(box, width_mm=box.width_mm - _CHECKS_MM - _GAP_MM)
    right = replace(box, left_mm=box.right_mm - _CHECKS_MM, width_mm=_CHECKS_MM)
    upper = replace(left, top_mm=box.top_mm + 0.5, height_mm=box.height_mm - _LAST_MM - _LAST_LINE_MM)
    text = "\n".join((survey_text(desk), limits_text(desk)))
    return [
        rule(desk, box, box.top_mm, block=BLOCK),
        *lay_text(text, desk.styles["small"], upper, desk.fonts, block=BLOCK),
        *_lay_last_line(desk, left),
        *_lay_checks(desk, right),
    ]
