"""If it goes wrong: six rows, who acts, what first and the number that goes with it."""

from __future__ import annotations

from atlas.faults import BlockOverrun
from atlas.paper import Box, Cell, Column, Item, Row, Span, Table, lay_table
from atlas.plan.crew_results import CrewAnswers, DangerBelow, TrackAnswers
from atlas.records import DangerKind
from atlas.sheets.desk import Desk
from atlas.sheets.figures import span_of, unbroken
from atlas.sheets.pieces import titled
from atlas.units import Figure

BLOCK = "contingencies"
CONTINGENCIES = (
    "track_parts",
    "far_ferry_lost",
    "up_down_lost",
    "boat_swamped",
    "debris",
    "casualty_gone",
)
_WHAT_MM = 37.0


def danger_text(desk: Desk, danger: DangerBelow) -> str:
    """The danger's name in the wording, or as the survey has it."""
    if danger.kind == DangerKind.OTHER.value:
        return danger.kind_text.replace("_", " ")
    return desk.words(f"sheet.danger.{danger.kind}")


def _of_track(desk: Desk, answers: TrackAnswers) -> dict[str, str]:
    words, lost = desk.words, answers.far_ferry_lost
    near, far = answers.track_parted.lines
    ends = (desk.first(Figure.LOST_FROM, lost.swept_from_m), desk.first(Figure.LOST_TO, lost.swept_to_m))
    told = {
        "track_parts": words(
            "sheet.contingency.track_parts.first",
            near=near.anchor,
            near_load=unbroken(desk.first(Figure.TENSION, near.sudden_n)),
            far=far.anchor,
            far_load=unbroken(desk.first(Figure.TENSION, far.sudden_n)),
        ),
        "far_ferry_lost": words(
            f"sheet.contingency.far_ferry_lost.{'end' if lost.at_end else 'first'}",
            rest=unbroken(desk.first(Figure.LOST_REST, lost.rest_m)),
            swept=unbroken(span_of(words, *ends)),
        ),
    }
    slack_m = min((one.slack_m for one in answers.slack if one.slack_m is not None), default=None)
    if slack_m is not None:
        shown = desk.show(Figure.SLACK_BUDGET, slack_m)
        none = float(shown.first.split(" ")[0]) == 0.0
        told["boat_swamped"] = words(
            f"sheet.contingency.boat_swamped.{'none' if none else 'first'}", slack=unbroken(shown.first)
        )
    return told


def _of_crew(desk: Desk, answers: CrewAnswers) -> dict[str, str]:
    words = desk.words
    spotter = desk.first(Figure.SPOTTER_DISTANCE, answers.posts.spotter_needed_m)
    told = {"debris": words("sheet.contingency.debris.first", distance=unbroken(spotter))}
    if not answers.dangers:
        return told
    soonest = answers.dangers[0]
    told["up_down_lost"] = words(
        "sheet.contingency.up_down_lost.first",
        danger=danger_text(desk, soonest),
        seconds=unbroken(desk.first(Figure.DANGER_SECONDS, soonest.seconds_s)),
    )
    first = min(answers.dangers, key=lambda danger: danger.last_catch_along_m)
    told["casualty_gone"] = words(
        f"sheet.contingency.casualty_gone.{'first' if first.catch_in_time else 'late'}",
        danger=danger_text(desk, first),
        catch=unbroken(desk.first(Figure.LAST_CATCH, max(first.last_catch_m, 0.0))),
    )
    return told


def contingency_numbers(desk: Desk) -> dict[str, str]:
    """What is done first, with its number, by row; a row without a number is not there."""
    rig = desk.plan.track_line
    if rig.answers is None or rig.track_answers is None:
        return {}
    return {**_of_track(desk, rig.track_answers), **_of_crew(desk, rig.answers)}


def contingency_rows(desk: Desk, *, without: int = 0) -> tuple[tuple[str, str, str], ...]:
    """What happened, who acts, what first; so many rows `without` their number, the longest first."""
    words, numbers = desk.words, contingency_numbers(desk)
    longest = sorted(numbers, key=lambda name: (-desk.width_mm(numbers[name], "body"), name))
    for name in longest[:without]:
        del numbers[name]
    return tuple(
        (
            words(f"sheet.contingency.{name}.what"),
            words(f"sheet.contingency.{name}.who"),
            numbers.get(name, words(f"sheet.contingency.{name}.plain")),
        )
        for name in CONTINGENCIES
    )


def _knives(desk: Desk) -> str:
    """The two posts that carry the knife."""
    answers = desk.plan.track_line.answers
    if answers is None:
        return ""
    posts = [desk.words(f"crew.{post}") for post in answers.knives]
    return desk.words("sheet.contingencies.knives", posts=desk.words("sheet.separator").join(posts))


def _table(desk: Desk, room: Box, *, without: int) -> list[Item]:
    body, strong = desk.styles["body"], desk.styles["strong"]
    table = Table(
        block=BLOCK,
        columns=(Column(style=strong, width_mm=_WHAT_MM, wraps=True), Column(style=body, wraps=True)),
        rows=tuple(
            Row(cells=(what, Cell(text=(Span(f"{who} ", strong), Span(first, body)))))
            for what, who, first in contingency_rows(desk, without=without)
        ),
        pad_mm=0.25,
        rule=desk.strokes["hairline"],
    )
    return [*lay_table(table, room, desk.fonts).items]


def lay_contingencies(desk: Desk) -> list[Item]:
    """The block of contingencies; a number that finds no room is left to the workings.

    Raises
    ------
    BlockOverrun
        The rows without their numbers are larger than the block.
    """
    box = desk.box(desk.template.block.contingencies)
    title = desk.words("sheet.contingencies.title")
    items, room = titled(desk, box, title, block=BLOCK, note=_knives(desk))
    for without in range(len(CONTINGENCIES)):
        try:
            return [*items, *_table(desk, room, without=without)]
        except BlockOverrun:
            continue
    return [*items, *_table(desk, room, without=len(CONTINGENCIES))]
