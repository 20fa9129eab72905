from dataclasses import replace

import pytest

from atlas.frame import FrameProblem, SiteFrame, site_frame
from atlas.records import AnchorUse, Bank, NearBank, Shape, WorkArea


def problems_of(site):
    found = site_frame(site)
    assert not isinstance(found, SiteFrame)
    return found


def test_no_usable_track_anchor_on_the_far_bank(survey):
    site = survey.site()
    near, far = site.anchors
    (problem,) = problems_of(replace(site, anchors=(near, replace(far, do_not_use=True))))
    assert problem == FrameProblem(
        code="track_anchor_missing",
        field="use",
        got="only F1 (do_not_use)",
        allowed="a usable anchor with use track on each bank",
        todo="survey a track anchor on the far bank",
        what="no usable track anchor on the far bank",
        role="anchor",
    )


def test_no_track_anchor_at_all(survey):
    problems = problems_of(survey.site(anchors=()))
    assert [problem.what for problem in problems] == [
        "no usable track anchor on the near bank",
        "no usable track anchor on the far bank",
    ]
    assert {problem.got for problem in problems} == {"none"}


def test_both_track_anchors_on_one_bank(survey):
    site = survey.site()
    near, far = site.anchors
    (problem,) = problems_of(replace(site, anchors=(near, replace(far, bank=Bank.NEAR))))
    assert problem == FrameProblem(
        code="track_anchors_one_bank",
        field="bank",
        got="N1, F1 all on the near bank",
        allowed="a usable track anchor on each bank",
        todo="correct the bank of one of them, or survey a track anchor on the far bank",
        what="all usable track anchors are on one bank",
        role="anchor",
    )


@pytest.mark.parametrize("span_m", [0.0, 4.99, 500.01, 2000.0])
def test_span_out_of_range(survey, span_m):
    globe = survey.globe()
    site = survey.site(globe)
    far = survey.anchor(globe(span_m, 0.0), "F1", Bank.FAR, AnchorUse.TRACK)
    (problem,) = problems_of(replace(site, anchors=(site.anchors[0], far)))
    assert problem == FrameProblem(
        code="span_out_of_range",
        field="geometry",
        got=f"{span_m:.1f} m",
        allowed="5 to 500 m between the two track anchors",
        todo="correct the place of the track anchors",
        what="the span is outside the range of a track line",
        role="anchor",
    )


@pytest.mark.parametrize("span_m", [5.0001, 499.999])
def test_span_at_the_ends_of_the_range(survey, span_m):
    globe = survey.globe()
    site = survey.site(globe, edges=(), access={"width_m": 3.0, "flow_toward_deg": 200.0})
    far = survey.anchor(globe(span_m, 0.0), "F1", Bank.FAR, AnchorUse.TRACK)
    frame = site_frame(replace(site, anchors=(site.anchors[0], far)))
    # 1e-4 m: the drawing's transverse Mercator, not the frame
    assert frame.span_m == pytest.approx(span_m, abs=1e-4)


@pytest.mark.parametrize(
    ("said", "edges", "got"),
    [
        ({"near_bank": None}, True, "near_bank missing, flow_toward missing, edges drawn"),
        ({"near_bank": None}, False, "near_bank missing, flow_toward missing, edges missing"),
        ({"near_bank": NearBank.LEFT}, False, "near_bank left, flow_toward missing, edges missing"),
    ],
)
def test_no_sense_of_flow(survey, said, edges, got):
    site = survey.site(access={"width_m": 34.0, **said})
    (problem,) = problems_of(site if edges else replace(site, edges=()))
    assert problem == FrameProblem(
        code="no_sense_of_flow",
        field="flow_toward",
        got=got,
        allowed="flow_toward, or near_bank together with drawn edges",
        todo="give the bearing toward which the water runs, or near_bank and both water's edges",
        what="which way the river runs cannot be told",
    )


def test_flow_against_edges(survey):
    (problem,) = problems_of(survey.site(access={"flow_toward_deg": 170.0}))
    # the edges run 5.7 degrees toward x of downstream (200): 30 + 5.7
    assert problem == FrameProblem(
        code="flow_against_edges",
        field="flow_toward",
        got="170 degrees, 36 degrees off the drawn edges",
        allowed="within 30 degrees of the line of the edges",
        todo="correct flow_toward (degrees true, toward which the water runs) or the edges",
        what="flow_toward does not run along the drawn water's edges",
    )


def test_flow_against_near_bank(survey):
    (problem,) = problems_of(survey.site(access={"flow_toward_deg": 20.0}))
    assert problem == FrameProblem(
        code="flow_against_near_bank",
        field="flow_toward",
        got="20 degrees, with near_bank left",
        allowed="near_bank as seen facing downstream",
        todo="correct near_bank or flow_toward, or the bank of the track anchors if they are exchanged",
        what="flow_toward puts the near bank on the other hand",
    )


def test_flow_against_near_bank_without_edges(survey):
    site = survey.site(edges=(), access={"flow_toward_deg": 20.0, "width_m": 30.0})
    assert [problem.code for problem in problems_of(site)] == ["flow_against_near_bank"]


@pytest.mark.parametrize("flow_toward_deg", [200.0 + 61.0, 200.0 - 61.0, 290.0, 110.0, 200.0 + 119.0])
def test_flow_along_the_track_line(survey, flow_toward_deg):
    site = survey.site(edges=(), access={"flow_toward_deg": flow_toward_deg, "width_m": 30.0})
    (problem,) = problems_of(site)
    off_deg = min(abs(flow_toward_deg - 200.0), 180.0 - abs(flow_toward_deg - 200.0))
    assert problem == FrameProblem(
        code="flow_along_track",
        field="flow_toward",
        got=f"{off_deg:.0f} degrees from square to the track line",
        allowed="at most 60 degrees",
        todo="choose track anchors that lie across the river, or correct flow_toward or the edges",
        what="the river runs along the track line rather than across it",
    )


def test_edges_without_a_common_axis(survey):
    globe = survey.globe()
    near = globe.line((2.0, -10.0), (2.0, 10.0))
    far = globe.line((30.0, 0.0), (50.0, 0.0))
    (problem,) = problems_of(survey.site(globe, edges=((Bank.NEAR, near), (Bank.FAR, far))))
    assert problem == FrameProblem(
        code="edges_no_axis",
        field="geometry",
        got="edge lines with no common direction near the track line",
        allowed="water's edges that run along the river, the two banks less than 60 degrees apart",
        todo="redraw the edges as lines along the water, a few points each",
        what="the drawn edges give no axis of the flow",
        role="edge",
    )


def test_an_edge_that_stops_short_of_the_track_line(survey):
    globe = survey.globe()
    site = survey.site(globe)
    short = (Bank.FAR, globe.line((39.0, 30.0), (36.5, 5.0)))
    (problem,) = problems_of(replace(site, edges=(site.edges[0], short)))
    assert problem == FrameProblem(
        code="edge_does_not_cross",
        field="geometry",
        got="far edge that does not reach the track line",
        allowed="a line along the water that begins above the track line and ends below it",
        todo="draw the edge on past the line between the two track anchors",
        what="the far water's edge does not meet the track line",
        role="edge",
    )


def test_edges_exchanged(survey):
    site = survey.site()
    (_, near), (_, far) = site.edges
    (problem,) = problems_of(replace(site, edges=((Bank.FAR, near), (Bank.NEAR, far))))
    assert problem == FrameProblem(
        code="edges_swapped",
        field="bank",
        got="near edge 36.0 m and far edge 2.0 m from the near track anchor",
        allowed="the near edge first",
        todo="exchange the bank of the two edges, or of the anchors",
        what="the far water's edge lies nearer than the near one",
        role="edge",
    )


@pytest.mark.parametrize(
    ("near_m", "far_m", "bank"), [(-3.0, -36.0, "near"), (-36.0, -3.0, "far"), (43.0, 76.0, "near")]
)
def test_both_track_anchors_stand_on_one_bank(survey, near_m, far_m, bank):
    globe = survey.globe()
    edges = (
        (Bank.NEAR, globe.line((near_m, -9.0), (near_m, 9.0))),
        (Bank.FAR, globe.line((far_m, -9.0), (far_m, 9.0))),
    )
    (problem,) = problems_of(replace(survey.site(), edges=edges))
    assert problem == FrameProblem(
        code="anchors_on_one_bank",
        field="geometry",
        got=f"near and far track anchor on the {bank} side of both drawn edges",
        allowed="the river between the two track anchors",
        todo="correct the place of the anchor that is wrong, or the edges",
        what="both track anchors stand on one bank",
        role="anchor",
    )


def test_one_line_drawn_for_both_edges(survey):
    site = survey.site()
    (_, near), _ = site.edges
    (problem,) = problems_of(replace(site, edges=((Bank.NEAR, near), (Bank.FAR, near))))
    assert problem.got == "near edge 2.0 m and far edge 2.0 m from the near track anchor"


def test_a_tie_point_may_stand_on_its_waters_edge(survey):
    globe = survey.globe()
    edges = (
        (Bank.NEAR, globe.line((0.0, -9.0), (0.0, 9.0))),
        (Bank.FAR, globe.line((40.0, -9.0), (40.0, 9.0))),
    )
    frame = site_frame(survey.site(globe, edges=edges))
    # the drawing's transverse Mercator puts the edges some nanometres off
    assert frame.setback_near_m >= 0.0 <= frame.setback_far_m
    assert frame.width_m == pytest.approx(frame.span_m, abs=1e-6)


def test_both_track_anchors_on_one_side_of_the_water_in_fact(survey):
    globe = survey.globe()
    site = survey.site(globe)
    far = survey.anchor(globe(20.0, 0.0), "F1", Bank.FAR, AnchorUse.TRACK)
    (problem,) = problems_of(replace(site, anchors=(site.anchors[0], far)))
    assert problem == FrameProblem(
        code="tie_point_not_behind_edge",
        field="geometry",
        got="far track anchor 16.0 m in front of the far water's edge",
        allowed="each track anchor on its own bank, behind the water's edge of the survey day",
        todo="correct the anchor's place, the edge, or the width",
        what="the far track anchor does not stand on the far bank",
        role="anchor",
    )


def test_near_track_anchor_in_the_water(survey):
    globe = survey.globe()
    site = survey.site(globe)
    near = survey.anchor(globe(3.0, 0.0), "N1", Bank.NEAR, AnchorUse.TRACK)
    (problem,) = problems_of(replace(site, anchors=(near, site.anchors[1])))
    assert problem.code == "tie_point_not_behind_edge"
    assert problem.got == "near track anchor 1.0 m in front of the near water's edge"


def test_given_and_drawn_width_disagree(survey):
    (problem,) = problems_of(survey.site(access={"width_m": 30.5}))
    assert problem == FrameProblem(
        code="width_disagrees",
        field="width",
        got="30.5 m given, 34.0 m between the drawn edges",
        allowed="at most 10% apart",
        todo="correct the width or the edges",
        what="the given width and the drawn edges disagree",
    )


@pytest.mark.parametrize("width_m", [34.0 * 0.901, 34.0 / 0.901])
def test_given_and_drawn_width_within_a_tenth(survey, width_m):
    frame = site_frame(survey.site(access={"width_m": width_m}))
    assert frame.width_m == pytest.approx(34.0, abs=1e-5)


def test_width_unknown(survey):
    (problem,) = problems_of(survey.site(edges=(), access={"flow_toward_deg": 200.0}))
    assert problem == FrameProblem(
        code="width_unknown",
        field="width",
        got="neither edges nor width",
        allowed="both water's edges drawn, or a width",
        todo="draw the water's edges of both banks, or give the width along the track line",
        what="the width of the water along the track line cannot be told",
    )


def test_one_edge_and_no_width(survey):
    site = survey.site()
    (problem,) = problems_of(replace(site, edges=site.edges[:1]))
    assert (problem.code, problem.got) == ("width_unknown", "one edge and no width")


def test_width_exceeds_span(survey):
    (problem,) = problems_of(survey.site(edges=(), access={"flow_toward_deg": 200.0, "width_m": 41.0}))
    assert problem == FrameProblem(
        code="width_exceeds_span",
        field="width",
        got="41.0 m",
        allowed="at most the span, 40.0 m between the track anchors",
        todo="correct the width, or choose track anchors on the banks",
        what="the water is wider than the track line is long",
    )


def test_reach_down_unknown(survey):
    (problem,) = problems_of(survey.site(work_areas=()))
    assert problem == FrameProblem(
        code="reach_down_unknown",
        field="reach_down",
        got="neither work_area nor reach_down",
        allowed="a work_area feature, or reach_down",
        todo="draw where the boat must reach, or give reach_down below the track line",
        what="how far down the boat must work cannot be told",
    )


def test_reach_down_given(survey):
    frame = site_frame(survey.site(work_areas=(), access={"reach_down_m": 18.0}))
    assert (frame.reach_down_m, frame.reach_down_drawn) == (18.0, False)


def test_reach_down_disagrees(survey):
    (problem,) = problems_of(survey.site(access={"reach_down_m": 25.0}))
    assert problem == FrameProblem(
        code="reach_down_disagrees",
        field="reach_down",
        got="25.0 m given, 22.0 m to the far end of the drawn work_area",
        allowed="at most 10% apart",
        todo="correct reach_down or the work_area",
        what="the given reach_down and the drawn work area disagree",
    )


def test_work_area_wholly_upstream(survey):
    globe = survey.globe()
    area = WorkArea(Shape("point", (globe.line((20.0, -3.0)),)))
    (problem,) = problems_of(survey.site(globe, work_areas=(area,)))
    assert problem == FrameProblem(
        code="work_area_upstream",
        field="geometry",
        got="work_area 3.0 m upstream of the track line at its lowest",
        allowed="a work_area that reaches below the track line",
        todo="move the work_area or the track anchors, or correct the sense of flow",
        what="the work area lies wholly upstream of the track line",
        role="work_area",
    )


def test_an_anchor_across_the_water_from_its_bank(survey):
    globe = survey.globe()
    site = survey.site(globe)
    stray = survey.anchor(globe(38.0, -8.0), "N9", Bank.NEAR, AnchorUse.FERRY)
    (problem,) = problems_of(replace(site, anchors=(*site.anchors, stray)))
    assert problem == FrameProblem(
        code="anchor_wrong_bank",
        field="bank",
        got="N9 with bank near, across the water from it",
        allowed="near or far as the anchor lies",
        todo="correct the bank of N9 or its place",
        what="an anchor lies on the other bank than it says",
        role="anchor",
    )


def test_an_anchor_far_off_may_stand_round_the_bend(survey):
    globe = survey.globe()
    site = survey.site(globe)
    distant = survey.anchor(globe(38.0, -25.0), "N9", Bank.NEAR, AnchorUse.FERRY)
    assert isinstance(site_frame(replace(site, anchors=(*site.anchors, distant))), SiteFrame)


def test_every_problem_of_width_and_reach_is_told_at_once(survey):
    site = survey.site(access={"width_m": 20.0, "reach_down_m": 50.0})
    assert [problem.code for problem in problems_of(site)] == ["width_disagrees", "reach_down_disagrees"]
