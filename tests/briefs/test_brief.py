"""Briefings of plans made by hand: what stands on their pages, and on how many."""

from dataclasses import replace
from datetime import date
from io import BytesIO

import pikepdf
import pytest
from pypdf import PdfReader

from atlas.briefs import Basis, BriefFacts, WaterSaid, lay_brief
from atlas.faults import BlockOverrun
from atlas.settings import load_settings
from atlas.settings.page import read_page_template

DAY = date(2026, 11, 1)


@pytest.fixture(scope="module")
def settings():
    return load_settings()


@pytest.fixture(scope="module")
def brief_of(settings):
    """Makes the briefing of plans and reads its pages' text."""

    def make(*plans, paper="letter", **facts):
        template = read_page_template(settings.template_path(f"sheet-{paper}.toml"))
        told = {"as_of": DAY, "asked": "Test", "agencies": (plans[0].agency,), **facts}
        made = lay_brief(
            plans, BriefFacts(**told), county=plans[0].county, template=template, words=settings.words
        )
        return made, [page.extract_text() for page in PdfReader(BytesIO(made.pdf)).pages]

    return make


@pytest.fixture(scope="module")
def plan(hand_made, settings):
    return hand_made.make_plan(settings.words)


def with_water(plan, *, speed_m_s, inside):
    """The plan with a row of today's water."""
    rig = plan.chosen
    row = replace(
        rig.planning,
        name="asked",
        planning=False,
        design_speed_m_s=speed_m_s,
        cases=rig.planning.cases
        if inside
        else tuple(replace(case, inside=not case.judged) for case in rig.planning.cases),
    )
    return replace(plan, rigs=(replace(rig, stages=(*rig.stages, row)),))


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_an_overview_and_two_pages_a_site(brief_of, plan, hand_made, settings, paper):
    outside = hand_made.outside_plan(settings.words)
    other = replace(outside, site=replace(outside.site, code="OT-07"))
    made, texts = brief_of(plan, other, paper=paper)
    code = plan.site.code
    labels = ["Overview", code, f"{code} orders", "OT-07", "OT-07 orders"]
    assert [page.label for page in made.pages] == labels
    assert len(texts) == 5
    assert code in texts[0]


def test_limits_stand_beside_todays_water(brief_of, plan):
    today = with_water(plan, speed_m_s=1.0, inside=True)
    _, texts = brief_of(today, waters={plan.site.code: WaterSaid(Basis.GIVEN)})
    site = " ".join(texts[1].split())
    assert "Inside plan" in site
    assert "2.3 mph (1.0 m/s)" in site  # 1.0 m/s / 0.44704, up to a tenth
    assert "as given for this briefing" in site
    assert plan.site.code in texts[0]
    assert "inside" in texts[0]


def test_todays_water_outside_plan_is_a_word_in_a_frame_and_on_the_overview(brief_of, plan):
    today = with_water(plan, speed_m_s=3.0, inside=False)
    _, texts = brief_of(today, waters={plan.site.code: WaterSaid(Basis.READING, "G1 at 10:00")})
    assert "OUTSIDE PLAN" in texts[1]
    assert "OUTSIDE" in texts[0]
    assert "gauge G1 at 10:00" in " ".join(texts[1].split())


def test_without_water_the_level_planned_for_stands_and_is_told_so(brief_of, plan):
    _, texts = brief_of(plan)
    assert "none given: the level planned for" in " ".join(texts[1].split())


def test_who_is_committed_elsewhere_is_told_first(brief_of, plan):
    _, texts = brief_of(plan, without=("XY",))
    assert "Committed elsewhere and not counted: XY" in " ".join(texts[0].split())


def test_parts_of_the_incident_command_systems_forms(brief_of, plan):
    _, texts = brief_of(plan)
    for title in ("Situation", "Resources and check-in", "Safety message"):
        assert title in texts[0]
    for title in ("Assignments", "Communications", "Medical", "Safety message", "If it goes wrong"):
        assert title in texts[2]


def test_every_line_with_its_need_and_every_post_of_the_crew(brief_of, plan, settings):
    _, texts = brief_of(plan)
    for line in plan.chosen.lines:
        assert settings.words(f"line.{line.line}") in texts[1]
    for post in plan.chosen.crew:
        assert settings.words(f"crew.{post.post}") in texts[2]


def test_a_crowded_site_keeps_to_two_pages(brief_of, hand_made, settings):
    made, texts = brief_of(hand_made.crowded(settings.words))
    assert len(made.pages) <= 3
    assert "Checked by a second person" in texts[-1]


def test_more_sites_than_a_page_of_overview_holds_are_an_error(brief_of, plan):
    with pytest.raises(BlockOverrun, match=r"brief.*90 sites on one page"):
        brief_of(*[plan] * 90)


def test_same_plans_same_bytes_and_an_outline(brief_of, plan):
    first, _ = brief_of(plan)
    second, _ = brief_of(plan)
    assert first.pdf == second.pdf
    with pikepdf.open(BytesIO(first.pdf)) as document, document.open_outline() as outline:
        assert [entry.title for entry in outline.root] == [
            "Overview",
            f"{plan.site.code} {plan.site.access.name}",
        ]


def test_a_limit_level_that_is_the_level_planned_for_is_told_as_above_it(brief_of, plan):
    rig = plan.chosen
    limit = replace(rig.limit, stage_m=rig.planning.stage_m + 1e-4)
    _, texts = brief_of(replace(plan, rigs=(replace(rig, limit=limit), *plan.rigs[1:])))
    assert "Gauge stage above " in " ".join(texts[1].split())
    assert " above " in " ".join(texts[0].split("Sites against")[1].split())
