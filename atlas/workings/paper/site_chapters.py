"""What the survey gave, and the geometry that follows."""

from __future__ import annotations

from atlas.plan import SitePlan
from atlas.units import Figure
from atlas.workings.paper.entries import Value
from atlas.workings.paper.ledger import Ledger

__all__ = ["frame_chapter", "survey_chapter"]

_NO_STAGE = 0.0


def survey_chapter(ledger: Ledger, plan: SitePlan) -> None:
    """Heights, places and edges, each with whether it was drawn or given."""
    frame, access = plan.frame, plan.site.access
    survey = ledger.source("survey", file=plan.site.file.rsplit("/", 1)[-1], date=access.surveyed.isoformat())
    drawn = ledger.source("drawn")
    tags = {"near": frame.track_near_tag, "far": frame.track_far_tag}
    with ledger.chapter("survey"):
        ledger.remark(ledger.words("derivation.note.frame", azimuth=f"{frame.x_azimuth_deg:.1f}", **tags))
        if access.stage_m is not None:
            ledger.given("stage_of_survey", Value("s_0", access.stage_m, "m", 3), survey, figure=Figure.STAGE)
        for key, symbol, tag, height_m in (
            ("near_tie_height", "z_n", frame.track_near_tag, frame.near_tie_height_m),
            ("far_tie_height", "z_f", frame.track_far_tag, frame.far_tie_height_m),
        ):
            title = ledger.title(key, tag=tag)
            value = Value(symbol, height_m, "m", 3)
            ledger.given(key, value, survey, figure=Figure.TIE_HEIGHT, title=title)
        ledger.given("span", Value("L", frame.span_m, "m", 3), ledger.source("geodesic"), figure=Figure.SPAN)
        edges = drawn if frame.width_drawn else ledger.source("property", name="width")
        ledger.given("near_edge", Value("x_n", frame.near_edge_x_m, "m", 3), edges)
        ledger.given("far_edge", Value("x_f", frame.far_edge_x_m, "m", 3), edges)
        ledger.given(
            "reach_down",
            Value("R", frame.reach_down_m, "m", 3),
            drawn if frame.reach_down_drawn else ledger.source("property", name="reach_down"),
            figure=Figure.SPAN,
        )
        ledger.given(
            "skew",
            Value("a", frame.skew_deg, "°", 2),
            drawn if frame.edges_drawn else ledger.source("property", name="flow_toward"),
        )


def frame_chapter(ledger: Ledger, plan: SitePlan) -> None:
    """Rise, chord, width, setbacks and the reach along the flow."""
    frame = plan.frame
    geometry = ledger.source("geometry")
    with ledger.chapter("frame"):
        ledger.step("rise", Value("u", frame.rise_m, "m", 3), "z_f - z_n", geometry, figure=Figure.TIE_RISE)
        ledger.step("chord", Value("L_c", frame.chord_m, "m", 3), "hypot(L, u)", geometry, figure=Figure.SPAN)
        ledger.step("width", Value("B", frame.width_m, "m", 3), "x_f - x_n", geometry, figure=Figure.SPAN)
        ledger.step(
            "setback_near", Value("b_n", frame.setback_near_m, "m", 3), "x_n", geometry, figure=Figure.SPAN
        )
        ledger.step(
            "setback_far", Value("b_f", frame.setback_far_m, "m", 3), "L - x_f", geometry, figure=Figure.SPAN
        )
