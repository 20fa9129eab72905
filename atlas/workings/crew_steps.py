"""The steps of what crews ask on the bank: pulse check, if one line goes, drift, posts, ground, decisions."""

from __future__ import annotations

from atlas.plan import TrackLineRig
from atlas.plan.crew_results import CrewAnswers, DangerBelow, TrackAnswers
from atlas.settings import Policy
from atlas.units import Figure, UnitSystem
from atlas.workings.section import FIGURES, Row, Section, both, figure, number

__all__ = ["crew_sections"]


def _pulse(answers: TrackAnswers, policy: Policy, system: UnitSystem) -> Section:
    pulse, rules = answers.pulse, policy.values.pulse
    if pulse is None:
        return Section(title="Pulse check", notes=("none: no window to tell",))
    rows: list[Row] = [
        ("dry rope", f"{pulse.dry_s[0]:.2f} to {pulse.dry_s[1]:.2f} s", ""),
        ("soaked rope", f"{pulse.wet_s[0]:.2f} to {pulse.wet_s[1]:.2f} s", ""),
    ]
    notes = (
        "t = 2 N L sqrt(m / T), summed along the hanging line; before lock-off, the carriage off the line",
        f"soaked: {rules.wet_factor:g} times the dry rope's weight; both stiffness bounds",
    )
    if pulse.from_s is None:
        return Section(
            title="Pulse check",
            notes=(*notes, "no time tells it: a soaked rope set hardest is as slow as a dry one set least"),
            head=FIGURES,
            rows=tuple(rows),
        )
    rows += [
        figure("inside the window from", Figure.PULSE_FROM, pulse.from_s, 2, "s", system),
        figure("inside the window to", Figure.PULSE_TO, pulse.to_s, 2, "s", system),
    ]
    return Section(title=f"Pulse check, {pulse.returns} returns", notes=notes, head=FIGURES, rows=tuple(rows))


def _parted(answers: TrackAnswers, policy: Policy, system: UnitSystem) -> Section:
    parted = answers.track_parted
    rows: list[Row] = []
    for line in parted.lines:
        rows += [
            figure(f"{line.line} at rest", Figure.TENSION, line.load_n, 0, "N", system),
            figure(f"{line.line} suddenly, on {line.anchor}", Figure.TENSION, line.sudden_n, 0, "N", system),
            figure(f"{line.line} factor", Figure.FACTOR, line.factor, 2, "", system),
            figure(f"{line.anchor} holds", Figure.STRENGTH_HELD, line.anchor_hold_n, 0, "N", system),
            figure(f"{line.anchor} ratio", Figure.FACTOR, line.anchor_ratio, 2, "", system),
        ]
    rows.append(figure("the boat moves until at rest", Figure.BOAT_MOVES, parted.drift_m, 2, "m", system))
    return Section(
        title="If the track line parts: ring and boat hang on the ferry lines",
        notes=(
            "equilibrium of the lines as they were held, straight and elastic, over the carriage's travel",
            f"suddenly: {policy.values.if_lost.sudden:g} times the load at rest",
            f"factor asked of a back-up: {parted.factor_needed:g}",
        ),
        head=FIGURES,
        rows=tuple(rows),
    )


def _far_lost(answers: TrackAnswers, system: UnitSystem) -> Section:
    lost = answers.far_ferry_lost
    rest = "it runs on past x" if lost.at_end else "the carriage comes to rest at x"
    return Section(
        title="If the far ferry line is lost",
        notes=(
            f"from the far end of its travel, x {lost.from_m:.2f} m; up-down and near ferry line held",
            "rest: the force along the line is none and falls, a least of the potential",
            "until there nothing slows it",
        ),
        head=FIGURES,
        rows=(
            figure(rest, Figure.LOST_REST, lost.rest_m, 2, "m", system),
            figure("nobody between x", Figure.LOST_FROM, lost.swept_from_m, 2, "m", system),
            figure("and x", Figure.LOST_TO, lost.swept_to_m, 2, "m", system),
        ),
    )


def _slack(answers: TrackAnswers, policy: Policy, system: UnitSystem) -> Section:
    masses = policy.values.boat
    rows = tuple(
        (one.case, "no limit within its length", "")
        if one.slack_m is None
        else figure(one.case, Figure.SLACK_BUDGET, one.slack_m, 2, "m", system)
        for one in answers.slack
    )
    return Section(
        title="Slack budget of the up-down line",
        notes=(
            "the boat's energy when the line catches it, against the track line's own force-bow curve",
            f"boat {masses.mass:g} kg, swamped {masses.mass_swamped:g} kg; most set, stiff bound",
        ),
        head=FIGURES,
        rows=rows,
    )


def _hand_over(answers: CrewAnswers, policy: Policy, system: UnitSystem) -> Section:
    rules = policy.values.hand_over
    rows = tuple(
        (
            one.line,
            number(one.drag_n_m, 1),
            both(Figure.TENSION, one.tight_n, system),
            str(one.tight_people),
            both(Figure.TENSION, one.slack_n, system),
            str(one.slack_people),
        )
        for one in answers.hand_overs
    )
    return Section(
        title="Hand-over: a line that touches the water from bank to bank",
        notes=(
            f"T = q W / (8 f) hypot(1, 4 f); tight f {rules.sag_tight:g}, slack f {rules.sag_slack:g}",
            f"q = 1/2 rho {rules.cylinder_drag:g} d v^2",
        ),
        head=("line", "q N/m", "kept tight", "people", "slack", "people"),
        rows=rows,
    )


def _danger_row(danger: DangerBelow, system: UnitSystem) -> Row:
    catch = both(Figure.LAST_CATCH, danger.last_catch_m, system)
    return (
        danger.kind_text,
        both(Figure.DANGER_SECONDS, danger.seconds_s, system),
        number(danger.along_m, 1),
        number(danger.aside_m, 1),
        catch if danger.catch_in_time else f"{catch}, above the lowest boat",
    )


def _dangers(answers: CrewAnswers, policy: Policy, system: UnitSystem) -> Section:
    return Section(
        title="If the up-down line goes: seconds to each danger",
        notes=(
            "straight down the flow with the fastest surface thread, from the nearest place of the boat",
            f"last catch: {policy.values.posts.catch:g} s above it, below the track line",
        ),
        head=("danger", "after", "way m", "aside m", "last catch"),
        rows=tuple(_danger_row(danger, system) for danger in answers.dangers),
    )


def _posts(answers: CrewAnswers, policy: Policy, system: UnitSystem) -> Section:
    posts, times = answers.posts, policy.values.posts
    rows: list[Row] = [
        figure(
            "spotter above the rig, at least", Figure.SPOTTER_DISTANCE, posts.spotter_needed_m, 1, "m", system
        ),
        figure("surveyed spotter stands", Figure.SPOTTER_STANDS, posts.spotter_m, 1, "m", system),
    ]
    rows += [
        figure(
            f"thrower at x {one.at[0]:.1f} y {one.at[1]:.1f} m, {one.bank} bank, in time on"
            f" {one.ways_share:.0%} of the ways",
            Figure.REACH_SECONDS,
            one.seconds_s,
            1,
            "s",
            system,
        )
        for one in posts.throwers
    ]
    rows.append(("throwers in time, worst way to best", f"{posts.in_time_least} to {posts.in_time_most}", ""))
    return Section(
        title="Posts in time",
        notes=(
            f"spotter: v x (see {times.see:g} s + clear {times.clear:g} s)",
            f"thrower: a swimmer within reach for {times.throw:g} s, above every last catch",
        ),
        head=FIGURES,
        rows=tuple(rows),
    )


def _ground(answers: CrewAnswers, policy: Policy, system: UnitSystem) -> Section:
    rules, reached = policy.values.no_go, answers.reached
    rows: list[Row] = []
    if reached is not None:
        rows.append(
            figure(
                "of the work area the boat can be held in",
                Figure.REACHED,
                100.0 * reached.share,
                1,
                "%",
                system,
            )
        )
    rows += [(f"no-go: {name}", f"{len(ground)} polygon(s)", "") for name, ground in answers.no_go.parts]
    return Section(
        title="Ground: reached, and not to be stood on",
        notes=(
            f"behind anchors {rules.behind_length:g} m, {rules.behind_angle:g} deg to either side",
            f"{rules.margin:g} m about all of it",
        ),
        head=FIGURES,
        rows=tuple(rows),
    )


def _decisions(answers: CrewAnswers) -> Section:
    rows = tuple(
        (decision.code, one.name, f"{one.value:.3f}")
        for decision in answers.decisions
        for one in decision.numbers
    )
    return Section(
        title="Decision points, release order, knives",
        notes=(
            f"let go in this order: {', '.join(answers.release_order)}",
            f"knives: {', '.join(answers.knives)}",
        ),
        head=("before", "number", "SI"),
        rows=rows,
    )


def crew_sections(rig: TrackLineRig, policy: Policy, system: UnitSystem) -> tuple[Section, ...]:
    """The steps; one alone that says why, where the questions are not answered."""
    crew, track = rig.answers, rig.track_answers
    if crew is None or track is None:
        return (Section(title="What crews ask on the bank", notes=(f"not answered: {rig.untold}",)),)
    return (
        _pulse(track, policy, system),
        _parted(track, policy, system),
        _far_lost(track, system),
        _dangers(crew, policy, system),
        _slack(track, policy, system),
        _hand_over(crew, policy, system),
        _posts(crew, policy, system),
        _ground(crew, policy, system),
        _decisions(crew),
    )
