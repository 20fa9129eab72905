"""What crews ask on the bank: each answer from numbers told, or solved, with the equation that it solves."""

from __future__ import annotations

from math import cos, radians

from atlas.plan import CrewAnswers, HandOver, TrackAnswers
from atlas.settings import Settings
from atlas.units import Figure
from atlas.workings.paper.entries import Instance, Quantity, Relation, Value
from atlas.workings.paper.ledger import Ledger
from atlas.workings.paper.rigged import Rigged

__all__ = ["crew_chapters"]


def _pulse(ledger: Ledger, answers: TrackAnswers) -> None:
    """Times of the pulse, summed along the hanging line."""
    pulse = answers.pulse
    if pulse is None:
        ledger.remark(ledger.words("derivation.note.no_pulse"))
        return
    ledger.limit("pulse_returns", "n_b", "pulse.returns", decimals=0)
    ledger.limit("wet_factor", "k_m", "pulse.wet_factor")
    source = ledger.source("pulse")
    for key, symbol, value in (
        ("pulse_dry_from", "t_d1", pulse.dry_s[0]),
        ("pulse_dry_to", "t_d2", pulse.dry_s[1]),
        ("pulse_wet_from", "t_w1", pulse.wet_s[0]),
        ("pulse_wet_to", "t_w2", pulse.wet_s[1]),
    ):
        ledger.given(key, Value(symbol, value, "s", 3), source)
    if pulse.from_s is None or pulse.to_s is None:
        ledger.remark(ledger.words("derivation.note.pulse_hidden"))
        return
    bound = ledger.source("pulse_bound")
    ledger.step("pulse_from", Value("t_p1", pulse.from_s, "s", 3), "t_w1", bound, figure=Figure.PULSE_FROM)
    ledger.step("pulse_to", Value("t_p2", pulse.to_s, "s", 3), "t_d2", bound, figure=Figure.PULSE_TO)


def _parted(ledger: Ledger, answers: TrackAnswers) -> None:
    """The track line parts: each ferry line's load at rest, suddenly, and its factor."""
    ledger.limit("sudden", "k_j", "if_lost.sudden")
    quantities = (
        Quantity(ledger.title("back_up_rest"), "T_j", "N"),
        Quantity(ledger.title("back_up_sudden"), "J", "N", "k_j * T_j"),
        Quantity(ledger.title("back_up_strength"), "S_j", "N"),
        Quantity(ledger.title("back_up_factor"), "f_j", "", "S_j / J"),
    )
    instances = [
        Instance(
            f"{ledger.words(f'line.{line.line}')}, {line.anchor}",
            "",
            (
                Value("T_j", line.load_n, "N", 2),
                Value("J", line.sudden_n, "N", 2),
                Value("S_j", line.factor * line.sudden_n, "N", 1),
                Value("f_j", line.factor, "", 3),
            ),
        )
        for line in answers.track_parted.lines
    ]
    ledger.table("back_ups", quantities, instances, source=ledger.source("net"))
    moved = Value("u_j", answers.track_parted.drift_m, "m", 3)
    ledger.given("back_up_drift", moved, ledger.source("net"), figure=Figure.BOAT_MOVES)
    ledger.remark(
        ledger.words("derivation.note.back_up", least=f"{answers.track_parted.factor_needed:g}"), strong=False
    )


def _far_lost(ledger: Ledger, answers: TrackAnswers) -> None:
    lost, source = answers.far_ferry_lost, ledger.source("potential")
    for key, symbol, value, figure in (
        ("lost_from", "x_j0", lost.from_m, None),
        ("lost_rest", "x_j1", lost.rest_m, Figure.LOST_REST),
        ("swept_from", "x_j2", lost.swept_from_m, Figure.LOST_FROM),
        ("swept_to", "x_j3", lost.swept_to_m, Figure.LOST_TO),
    ):
        ledger.given(key, Value(symbol, value, "m", 3), source, figure=figure)


def _slack(ledger: Ledger, answers: TrackAnswers) -> None:
    ledger.limit("boat_mass", "m_b", "boat.mass", "kg", 0)
    ledger.limit("boat_mass_swamped", "m_b2", "boat.mass_swamped", "kg", 0)
    for index, one in enumerate(answers.slack, 1):
        case = ledger.words(f"case.{one.case}")
        if one.slack_m is None:
            ledger.remark(ledger.words("derivation.note.slack_any", case=case))
            continue
        ledger.given(
            "slack_allowed",
            Value(f"l_s{index}", one.slack_m, "m", 3),
            ledger.source("snatch"),
            figure=Figure.SLACK_BUDGET,
            title=ledger.title("slack_allowed", case=case),
        )


def _one_hand_over(ledger: Ledger, one: HandOver, index: int) -> None:
    """The pull of one line, kept tight and slack, and who holds it."""
    line = ledger.words(f"line.{one.line}")

    def title(key: str) -> str:
        return ledger.title(key, line=line)

    drag, thick = Value(f"q_o{index}", one.drag_n_m, "N/m", 3), Value(f"d_o{index}", one.diameter_m, "m", 4)
    ledger.given("over_diameter", thick, ledger.source("tended_rope"), title=title("over_diameter"))
    ledger.step(
        "over_drag", drag, f"0.5 * m_w * c_o * {thick.symbol} * v**2", ledger.source("cylinder"),
        title=title("over_drag"),
    )  # fmt: skip
    for key, sag, pull_n, people in (
        ("over_tight", "f_o1", one.tight_n, one.tight_people),
        ("over_slack", "f_o2", one.slack_n, one.slack_people),
    ):
        pull = Value(f"T_o{index}{sag[-1]}", pull_n, "N", 2)
        formula = f"{drag.symbol} * B_p / (8 * {sag}) * hypot(1, 4 * {sag})"
        ledger.step(
            key, pull, formula, ledger.source("parabola_bow"), figure=Figure.TENSION, title=title(key)
        )
        hands = Value(f"n_o{index}{sag[-1]}", people, "", 0)
        ledger.given("over_people", hands, ledger.source("whole_people"), title=title("over_people"))
        held = Value(f"P_o{index}{sag[-1]}", people * ledger.known["P"].value, "N", 1)
        ledger.step(
            "over_held", held, f"{hands.symbol} * P", ledger.source("statics"), title=title("over_held")
        )
        ledger.check("over_check", pull.symbol, Relation.AT_MOST, held.symbol, title=title("over_check"))


def _hand_over(ledger: Ledger, rigged: Rigged, answers: CrewAnswers) -> None:
    ledger.limit("cylinder_drag", "c_o", "hand_over.cylinder_drag")
    ledger.limit("sag_tight", "f_o1", "hand_over.sag_tight")
    ledger.limit("sag_slack", "f_o2", "hand_over.sag_slack")
    width = Value("B_p", rigged.rig.planning.width_m, "m", 3)
    ledger.given("planning_width", width, ledger.source("planning"), figure=Figure.SPAN)
    for index, one in enumerate(answers.hand_overs, 1):
        _one_hand_over(ledger, one, index)


def _posts(ledger: Ledger, answers: CrewAnswers) -> None:
    posts = answers.posts
    ledger.limit("see", "t_e", "posts.see", "s", 1)
    ledger.limit("clear", "t_c", "posts.clear", "s", 1)
    ledger.step(
        "spotter", Value("s_o", posts.spotter_needed_m, "m", 2), "v * (t_e + t_c)", ledger.source("drift"),
        figure=Figure.SPOTTER_DISTANCE,
    )  # fmt: skip
    if posts.spotter_m is not None:
        stands = Value("s_o1", posts.spotter_m, "m", 2)
        ledger.given("spotter_stands", stands, ledger.source("drawn_posts"), figure=Figure.SPOTTER_STANDS)
        ledger.check("spotter_check", "s_o1", Relation.AT_LEAST, "s_o")


def _dangers(ledger: Ledger, rigged: Rigged, answers: CrewAnswers) -> None:
    """Seconds to each danger, and the last place above it to throw from."""
    if not answers.dangers:
        ledger.remark(ledger.words("derivation.note.no_dangers"))
        return
    ledger.limit("catch", "t_h", "posts.catch", "s", 1)
    speed, catch_s = ledger.known["v"].value, ledger.known["t_h"].value
    aslant = cos(radians(rigged.plan.frame.skew_deg))
    quantities = (
        Quantity(ledger.title("danger_way"), "l_g", "m"),
        Quantity(ledger.title("danger_seconds"), "t_g", "s", "l_g / v"),
        Quantity(ledger.title("danger_down"), "y_g", "m"),
        Quantity(ledger.title("last_catch"), "y_h", "m", "y_g - v * t_h * cos(a * pi / 180)"),
    )
    instances = [
        Instance(
            danger.kind_text,
            "",
            (
                Value("l_g", danger.along_m, "m", 3),
                Value("t_g", danger.along_m / speed, "s", 3),
                Value("y_g", danger.downstream_m, "m", 3),
                Value("y_h", danger.downstream_m - speed * catch_s * aslant, "m", 3),
            ),
        )
        for danger in answers.dangers
    ]
    ledger.table("dangers", quantities, instances, source=ledger.source("drift"))


def _decisions(ledger: Ledger, rigged: Rigged, answers: CrewAnswers) -> None:
    """The rise that turns a crew back, where there is a limit stage."""
    numbers = {one.name: one.value for decision in answers.decisions for one in decision.numbers}
    limit, stage_m = rigged.rig.limit, rigged.rig.planning.stage_m
    if "rise_to_stop_m" not in numbers or limit is None or limit.stage_m is None or stage_m is None:
        return
    ledger.given("planned_stage", Value("s_q", stage_m, "m", 3), ledger.source("planning"))
    ledger.given("stop_stage", Value("s_v", limit.stage_m, "m", 3), ledger.source("bracketed"))
    ledger.limit("interval", "t_i", "decisions.interval", "s", 0)
    ledger.limit("clear_river", "t_v", "decisions.clear", "s", 0)
    ledger.step(
        "rise_to_stop", Value("u_v", numbers["rise_to_stop_m"], "m", 4),
        "(s_v - s_q) * t_i / (2 * t_i + t_v)", ledger.source("rising"), figure=Figure.RISE_TO_STOP,
    )  # fmt: skip


def crew_chapters(ledger: Ledger, rigged: Rigged, settings: Settings) -> None:
    """Pulse check, one line lost, slack budget, hand-over, posts, dangers, decisions; or why none is told."""
    crew, track = rigged.rig.answers, rigged.rig.track_answers
    words = settings.words
    if crew is None or track is None:
        with ledger.chapter("crew_asks", exports=()):
            ledger.remark(words("warning.answers_untold", why=rigged.rig.untold or ""))
        return
    with ledger.chapter("pulse", exports=()):
        _pulse(ledger, track)
    with ledger.chapter("if_lost", exports=()):
        _parted(ledger, track)
        _far_lost(ledger, track)
        _slack(ledger, track)
    with ledger.chapter("crew_asks", exports=()):
        _hand_over(ledger, rigged, crew)
        _posts(ledger, crew)
        _dangers(ledger, rigged, crew)
        _decisions(ledger, rigged, crew)
        if crew.reached is not None:
            share = Value("k_g", 100.0 * crew.reached.share, "%", 1)
            ledger.given("reached", share, ledger.source("mesh"), figure=Figure.REACHED)
