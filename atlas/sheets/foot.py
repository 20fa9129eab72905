"""The foot: how old the survey is, the edition, limits used, checks by initials, what the sheet is not."""

from __future__ import annotations

from datetime import date

from atlas.paper import Box, Item, lay_text
from atlas.plan.results import LimitUsed
from atlas.sheets.desk import Desk
from atlas.sheets.figures import unbroken
from atlas.sheets.pieces import lay_runs, rule
from atlas.units import Figure

BLOCK = "foot"
CHECKS = ("anchors", "lock_off", "link")
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
}
_CHECKS_MM = 50.0


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


def date_text(day: date) -> str:
    """ISO 8601: the one form that every agency reads alike."""
    return day.isoformat()


def survey_text(desk: Desk) -> str:
    """Survey date and until when it may be used."""
    plan = desk.plan
    surveyed, until = date_text(plan.site.access.surveyed), date_text(plan.valid_until)
    key = "sheet.foot.overdue" if plan.overdue else "sheet.foot.survey"
    return desk.words(key, surveyed=surveyed, until=until)


def lay_foot(desk: Desk) -> list[Item]:
    """The foot of the sheet."""
    box = desk.box(desk.template.block.foot)
    words, small = desk.words, desk.styles["small"]
    items: list[Item] = [rule(desk, box, box.top_mm, block=BLOCK)]
    text = "\n".join(
        (
            f"{survey_text(desk)} · {words('sheet.foot.edition', edition=desk.plan.edition)}",
            limits_text(desk),
            words("sheet.foot.statement"),
        )
    )
    place = Box(
        left_mm=box.left_mm, top_mm=box.top_mm + 0.5, width_mm=box.width_mm - _CHECKS_MM - 4, height_mm=box.height_mm
    )
    items += lay_text(text, small, place, desk.fonts, block=BLOCK)
    checks = Box(
        left_mm=box.right_mm - _CHECKS_MM, top_mm=box.top_mm, width_mm=_CHECKS_MM, height_mm=box.height_mm
    )
    items += lay_runs(
        desk, [(words("sheet.foot.checked"), "label")], x_mm=checks.left_mm, y_mm=box.top_mm + 3.3,
        width_mm=_CHECKS_MM, block=BLOCK,
    )  # fmt: skip
    each_mm = _CHECKS_MM / len(CHECKS)
    for number, name in enumerate(CHECKS):
        left_mm = checks.left_mm + number * each_mm
        field = Box(left_mm=left_mm, top_mm=0, width_mm=each_mm - 2.0, height_mm=0)
        items.append(rule(desk, field, box.bottom_mm - 0.4, stroke="hairline", block=BLOCK))
        items += lay_runs(
            desk, [(words(f"sheet.foot.{name}"), "label")], x_mm=left_mm, y_mm=box.bottom_mm - 1.2,
            width_mm=each_mm, block=BLOCK,
        )  # fmt: skip
    return items
