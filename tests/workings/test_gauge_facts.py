"""What the demo's gauge says of a site's limit, as data and step by step."""

import json
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

import jsonschema
import numpy as np
import pytest

import atlas
from atlas.caches import read_county
from atlas.caches.read import CountyRead
from atlas.gauges import join_gauges, read_records
from atlas.plan import plan_site
from atlas.records import Site
from atlas.settings import Settings, load_settings
from atlas.survey import read_sites
from atlas.workings import derivation, workings_json
from atlas.workings.gauge_facts import gauge_facts, gauge_object

SCHEMA = json.loads((Path(atlas.__file__).parent / "schema" / "workings.schema.json").read_text())
FOLDER = Path(atlas.__file__).parents[1] / "sites" / "quillmarsh"


ISSUED = date(2026, 11, 1)


@dataclass(frozen=True)
class Given:
    """The demo county, and its gauged site."""

    read: CountyRead
    settings: Settings
    site: Site

    def plan(self, site):
        read = self.read
        return plan_site(
            site, county=read.county, agencies=read.agencies, settings=self.settings, as_of=ISSUED
        )


@pytest.fixture(scope="module")
def given():
    settings = load_settings(county=FOLDER, overrides={"stages.rows_above": 0})
    read = read_county(FOLDER, gear_items=frozenset(settings.gear.items))
    survey = read_sites(read.survey_files, county=read.county, agency_codes=None, as_of=ISSUED)
    records, faults = read_records(FOLDER)
    assert faults == ()
    sites = {site.code: site for site in join_gauges(survey.sites, read.county.gauges, records)}
    return Given(read, settings, sites["OT-05"])


@pytest.fixture(scope="module")
def plan(given):
    return given.plan(given.site)


def test_the_limit_flow_is_the_least_at_which_the_limit_stage_may_be_reached(plan):
    facts = gauge_facts(plan)
    rating = facts.river.rating
    assert facts.limit_stage_m == plan.chosen.limit.stage_m
    # at this flow the stage's interval ends at the limit stage
    _, _, high = rating.stage_m(discharge_m3_s=facts.limit_m3_s, level=0.9)
    assert float(high) == pytest.approx(facts.limit_stage_m)
    middle, _, _ = rating.discharge_m3_s(stage_m=facts.limit_stage_m)
    assert facts.limit_m3_s < float(middle)


def test_days_outside_are_counted_from_the_daily_flows(plan):
    facts = gauge_facts(plan)
    daily = facts.record.daily
    flows = np.array([np.nan if flow is None else flow for flow in daily.flows_m3_s])
    # February of ten years by another hand: positions of its days
    dates = np.datetime64(daily.first) + np.arange(len(flows))
    months, years = dates.astype("datetime64[M]").astype(int) % 12, dates.astype("datetime64[Y]")
    over = [np.sum(flows[(months == 1) & (years == year)] >= facts.limit_m3_s) for year in np.unique(years)]
    assert facts.seasons.days[1] == pytest.approx(np.median(over))
    assert len(facts.seasons.days) == 12
    # the invented river is high in spring
    assert facts.seasons.days[3] > facts.seasons.days[8]


def test_flood_categories_lie_over_the_limit(plan):
    facts = gauge_facts(plan)
    assert (facts.flood.reached, facts.flood.following.category.value) == (None, "action")
    assert facts.flood.to_next_m == pytest.approx(8.5 * 0.3048 - facts.limit_stage_m, abs=1e-4)


def test_it_is_in_the_workings_and_keeps_the_schema(plan):
    found = json.loads(workings_json(plan))
    jsonschema.validate(found, SCHEMA)
    gauge = found["gauge"]
    assert gauge == json.loads(json.dumps(gauge_object(plan)))
    assert (gauge["name"], gauge["refreshed"]) == ("OT G3", "2026-10-30")
    assert (gauge["fits"]["rows"], gauge["fits"]["dropped"]) == (26, 1)
    low, middle, high = gauge["limit_stages_m"]
    assert low < middle < high
    assert [one["category"] for one in gauge["flood"]] == ["action", "minor", "moderate", "major"]


def test_it_is_told_step_by_step(plan, given):
    section = next(one for one in derivation(plan, given.settings.policy) if one.title == "Gauge OT G3")
    assert "1 dropped: flow is not width x depth x speed within 5 %" in section.notes
    rows = {row[0]: row for row in section.rows}
    # 8.5 ft, exactly what the service of this invented gauge would give
    assert rows["flood: action"][2] == "8.5 ft (2.59 m)"
    assert rows["limit speed reached at the earliest"][1] < rows["limit speed reached most likely"][1]


def test_a_gauge_that_gives_no_rows_still_tells_its_floods(given):
    access = given.site.access
    unrelated = replace(access, gauged=replace(access.gauged, relation=None))
    changed = given.plan(replace(given.site, access=unrelated))
    found = json.loads(workings_json(changed))
    jsonschema.validate(found, SCHEMA)
    assert (found["gauge"]["fits"], found["gauge"]["days_outside"]) == (None, None)
    assert len(found["gauge"]["flood"]) == 4


def test_a_site_without_gauge(plan):
    access = replace(plan.site.access, gauged=None)
    assert gauge_object(replace(plan, site=replace(plan.site, access=access))) is None
