"""Every case at every stage; what was assumed, which limits were used, what is warned of."""

from __future__ import annotations

from atlas.plan import LoadPlace, SitePlan, TrackCase, TrackStage
from atlas.settings.policy import as_written
from atlas.workings.paper.entries import Instance, Quantity, Value
from atlas.workings.paper.ledger import Ledger
from atlas.workings.paper.lowest_lines import lowest_lines
from atlas.workings.paper.rigged import Rigged

__all__ = ["cases_chapter", "told_chapter"]


def _place_cells(place: LoadPlace) -> tuple[Value, ...]:
    return (
        Value("H_0", place.pretension_n, "N", 1),
        Value("E", place.stiffness_n, "N", 0),
        Value("q", place.seating_m, "m", 2),
        Value("x_c", place.at_m, "m", 3),
        Value("F_x", place.along_n, "N", 1),
        Value("F_y", place.downstream_n, "N", 2),
        Value("F_z", -place.up_n, "N", 2),
    )


def _place_quantities(ledger: Ledger) -> tuple[Quantity, ...]:
    head = ledger.words.of("derivation.state")
    return (
        Quantity(head["set"], "H_0", "N"),
        Quantity(head["stiffness"], "E", "N"),
        Quantity(head["seating"], "q", "m"),
        Quantity(head["place"], "x_c", "m"),
        Quantity(head["along"], "F_x", "N"),
        Quantity(head["downstream"], "F_y", "N"),
        Quantity(head["down"], "F_z", "N"),
    )


def _verdict(ledger: Ledger, case: TrackCase) -> str:
    word = ledger.words(f"derivation.verdict.{'inside' if case.inside else 'outside'}")
    return word if case.judged else ledger.words("derivation.verdict.not_judged", verdict=word)


def _name(ledger: Ledger, number: int, case: TrackCase) -> str:
    return ledger.words("derivation.case_row", number=str(number), case=ledger.words(f"case.{case.case}"))


def _tensions(ledger: Ledger, stages: tuple[TrackStage, ...]) -> None:
    head = ledger.words.of("derivation.state")
    quantities = (
        *_place_quantities(ledger),
        Quantity(head["tension"], "T", "N"),
        Quantity(head["factor"], "f", ""),
    )
    instances = [
        Instance(
            _name(ledger, number, case),
            "",
            (
                *_place_cells(case.tension_at),
                Value("T", case.tension_n, "N", 1),
                Value("f", case.factor, "", 2),
            ),
        )
        for number, stage in enumerate(stages, 1)
        for case in stage.cases
    ]
    ledger.table("case_tensions", quantities, instances, source=ledger.source("track_line"))


def _clearances(ledger: Ledger, stages: tuple[TrackStage, ...]) -> None:
    head = ledger.words.of("derivation.state")
    quantities = (
        *_place_quantities(ledger),
        Quantity(head["lowest"], "", ""),
        Quantity(head["clearance"], "C", "m"),
        Quantity(head["needed"], "C_n", "m"),
        Quantity(head["verdict"], "", ""),
    )
    instances = [
        Instance(
            _name(ledger, number, case),
            "",
            (
                *_place_cells(case.clearance_at),
                ledger.words(f"clearance_part.{case.clearance_part}"),
                Value("C", case.clearance_m, "m", 3),
                Value("C_n", case.clearance_needed_m, "m", 3),
                _verdict(ledger, case),
            ),
        )
        for number, stage in enumerate(stages, 1)
        for case in stage.cases
    ]
    ledger.table("case_clearances", quantities, instances, source=ledger.source("track_line"))
    lines = [
        (_name(ledger, number, case), "", case.lowest_line)
        for number, stage in enumerate(stages, 1)
        for case in stage.cases
        if case.lowest_line is not None
    ]
    if lines:
        ledger.remark(ledger.words("derivation.note.lowest_lines"))
        lowest_lines(ledger, lines)


def _bows(ledger: Ledger, stages: tuple[TrackStage, ...]) -> None:
    head = ledger.words.of("derivation.state")
    quantities = (*_place_quantities(ledger), Quantity(head["bow"], "y_b", "m"))
    instances = [
        Instance(
            _name(ledger, number, case),
            "",
            (*_place_cells(case.bow_at), Value("y_b", case.bow_m, "m", 3)),
        )
        for number, stage in enumerate(stages, 1)
        for case in stage.cases
        if case.bow_at is not None and case.drag_n > 0.0
    ]
    ledger.table("case_bows", quantities, instances, source=ledger.source("track_line"))


def cases_chapter(ledger: Ledger, rigged: Rigged) -> None:
    """The states of every case at every row, and why a case is outside plan."""
    stages = rigged.rig.stages
    with ledger.chapter("cases"):
        ledger.remark(ledger.words("derivation.note.cases"))
        _tensions(ledger, stages)
        _clearances(ledger, stages)
        _bows(ledger, stages)
        for number, stage in enumerate(stages, 1):
            for case in stage.cases:
                if case.why:
                    told = "; ".join(note.text for note in case.why)
                    ledger.remark(
                        ledger.words("derivation.note.why", case=_name(ledger, number, case), why=told)
                    )


def _limits(ledger: Ledger, plan: SitePlan) -> None:
    head = ledger.words.of("derivation.limit")
    quantities = (Quantity(head["value"], "", ""), Quantity(head["source"], "", ""))
    instances = [
        Instance(
            limit.key, "", (f"{as_written(limit.value, limit.unit):g} {limit.unit}".rstrip(), limit.source)
        )
        for limit in plan.limits_used
    ]
    ledger.table("limits_used", quantities, instances)


def _assumed(ledger: Ledger, plan: SitePlan) -> None:
    if not plan.assumed:
        ledger.remark(ledger.words("derivation.note.nothing_assumed"))
        return
    none = ledger.words("derivation.unknown")
    head = ledger.words.of("derivation.limit")
    quantities = (Quantity(head["value"], "", ""), Quantity(head["source"], "", ""))
    instances = [
        Instance(
            value.code,
            "",
            (none if value.value is None else f"{value.value:.6g} {value.unit}".rstrip(), value.source),
        )
        for value in plan.assumed
    ]
    ledger.table("assumed", quantities, instances)


def told_chapter(ledger: Ledger, plan: SitePlan) -> None:
    """What was assumed, the limits every verdict was held against, warnings and cautions."""
    with ledger.chapter("told"):
        _assumed(ledger, plan)
        _limits(ledger, plan)
        for warning in plan.warnings:
            ledger.remark(warning.text)
        for caution in plan.cautions:
            ledger.remark(f"{caution.signal}: {caution.text}", strong=True)
