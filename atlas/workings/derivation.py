"""The numbers of one site step by step: given, placed, measured, loaded, judged."""

from __future__ import annotations

from atlas.plan import RigPlan, SitePlan, TetherRig, TrackLineRig
from atlas.records import FlowNote
from atlas.settings import Policy
from atlas.units import Figure, UnitSystem
from atlas.workings.any_rig_steps import any_sections
from atlas.workings.comparison import comparison
from atlas.workings.gauge_facts import gauge_section
from atlas.workings.rig_steps import rig_sections
from atlas.workings.section import FIGURES, Row, Section, figure, number
from atlas.workings.tether_steps import tether_sections

__all__ = ["Section", "derivation"]


def _head(plan: SitePlan) -> Section:
    access = plan.site.access
    county = f"{plan.county.name}, edition {plan.edition}"
    overdue = ", OVERDUE" if plan.overdue else ""
    return Section(
        title=f"{plan.site.code}  {access.name}",
        notes=(
            f"{access.river}, reach {plan.reach.code} {plan.reach.name}; {county}",
            *(["INVENTED: not a real place"] if plan.county.invented else []),
            f"first due {plan.agency.code} {plan.agency.name}",
            *(_without(plan) if plan.without else ()),
            f"surveyed {access.surveyed.isoformat()}, valid until {plan.valid_until.isoformat()}{overdue}",
            f"as of {plan.as_of.isoformat()}",
            "Planning aid. It does not command.",
        ),
    )


def _without(plan: SitePlan) -> tuple[str, ...]:
    """Who is taken to be committed elsewhere, and whether that is the site's own agency."""
    told = f"made as if committed elsewhere: {', '.join(plan.without)}"
    own = plan.site.access.agency
    return (told, f"{plan.agency.code} stands in for {own}") if plan.agency.code != own else (told,)


def _flow_note(note: FlowNote) -> Row:
    speeds = [
        f"{speed:.2f} {kind}"
        for speed, kind in (
            (note.surface_speed_m_s, "surface"),
            (note.mean_speed_m_s, f"mean of the {note.mean_kind.value}" if note.mean_kind else "mean"),
        )
        if speed is not None
    ]
    stage = number(note.stage_m, 2) + (" assumed" if note.stage_assumed else "")
    return (
        "-" if note.date is None else note.date.isoformat(),
        stage,
        number(note.discharge_m3_s, 2),
        number(note.width_m, 1),
        number(note.depth_m, 2),
        ", ".join(speeds),
    )


def _water_seen(plan: SitePlan) -> Section:
    access = plan.site.access
    return Section(
        title="Water as noted",
        notes=(f"stage on the survey day {number(access.stage_m, 2, 'm')}: the datum of all heights",),
        head=("date", "stage m", "m3/s", "width m", "depth m", "speed m/s"),
        rows=tuple(_flow_note(note) for note in access.flow_notes),
    )


def _frame(plan: SitePlan, system: UnitSystem) -> Section:
    frame = plan.frame
    sense = "left-handed, " if frame.near_bank.value == "right" else ""
    sources = [
        f"{what} from {'the drawing' if drawn else 'the properties'}"
        for what, drawn in (
            ("sense of flow", frame.edges_drawn),
            ("width", frame.width_drawn),
            ("reach-down", frame.reach_down_drawn),
        )
    ]
    ties = ((frame.track_near_tag, frame.near_tie_height_m), (frame.track_far_tag, frame.far_tie_height_m))
    return Section(
        title="Frame",
        notes=(
            f"x from {frame.track_near_tag} to {frame.track_far_tag}, azimuth {frame.x_azimuth_deg:.1f} deg",
            f"y downstream; {sense}near bank is river {frame.near_bank.value}",
            "; ".join(sources),
        ),
        head=FIGURES,
        rows=(
            figure("span", Figure.SPAN, frame.span_m, 3, "m", system),
            figure("chord = hypot(span, rise)", Figure.SPAN, frame.chord_m, 3, "m", system),
            figure("rise of the far tie over the near", Figure.TIE_RISE, frame.rise_m, 3, "m", system),
            figure("width on the survey day", Figure.SPAN, frame.width_m, 3, "m", system),
            figure("near water's edge at x", Figure.SPAN, frame.near_edge_x_m, 3, "m", system),
            figure("far water's edge at x", Figure.SPAN, frame.far_edge_x_m, 3, "m", system),
            figure("reach-down, square to the chord", Figure.SPAN, frame.reach_down_m, 3, "m", system),
            figure("skew of the flow", Figure.SKEW, frame.skew_deg, 1, "deg", system),
            *(figure(f"tie height {tag}", Figure.TIE_HEIGHT, height, 2, "m", system) for tag, height in ties),
        ),
    )


def _policy(plan: SitePlan) -> Section:
    return Section(
        title="Limits used",
        head=("limit", "value, SI", "source"),
        rows=tuple((limit.key, f"{limit.value:g}", limit.source) for limit in plan.limits_used),
    )


def _said(plan: SitePlan) -> tuple[Section, ...]:
    assumed = tuple(
        (value.code, "-" if value.value is None else f"{value.value:g} {value.unit}".rstrip(), value.source)
        for value in plan.assumed
    )
    return (
        Section("Assumed", head=("what", "taken", "source"), rows=assumed),
        Section("Cautions", tuple(f"{caution.signal}: {caution.text}" for caution in plan.cautions)),
        Section("Warnings", tuple(f"{warning.code}: {warning.text}" for warning in plan.warnings)),
    )


def _chosen(rig: RigPlan, policy: Policy, system: UnitSystem) -> tuple[Section, ...]:
    """The steps of the rig that the sheet prints; of a kind without steps of its own, those of every rig."""
    if isinstance(rig, TrackLineRig):
        return rig_sections(rig, policy, system)
    if isinstance(rig, TetherRig):
        return tether_sections(rig, policy, system)
    return any_sections(rig, system)


def derivation(plan: SitePlan, policy: Policy) -> tuple[Section, ...]:
    """The numbers of a site, step by step, in the order in which they follow from each other.

    Parameters
    ----------
    plan : the site's plan
    policy : the policy it was computed with: drag areas, surges, pulley efficiency

    Returns
    -------
    tuple of Section
        Those with nothing in them are left out.
    """
    system = UnitSystem(plan.county.units)
    sections = [_head(plan), _water_seen(plan), _frame(plan, system)]
    sections.append(comparison(plan, system))
    sections += _chosen(plan.chosen, policy, system)
    sections.append(gauge_section(plan, system))
    sections += [_policy(plan), *_said(plan)]
    return tuple(section for section in sections if section.notes or section.rows)
