"""What a site's workings cost: in batches and alone.

A busy machine is as slow for the one as for the other, so only their ratio is asserted; milliseconds and
loaded states of the same run are told.
"""

from datetime import date
from pathlib import Path
from time import process_time

import numpy as np
import pytest

from atlas.caches import read_county
from atlas.plan import SitePlan, plan_sites
from atlas.rigging.states import solve_states, unstretched_length_m
from atlas.settings import load_settings
from atlas.survey import read_sites

pytest.importorskip("pytest_benchmark", reason="pytest-benchmark not installed: the extra bench brings it")

COUNTY = Path(__file__).resolve().parents[2] / "sites" / "quillmarsh"
STATES = 100_000
IN_A_BATCH = 64


@pytest.fixture(scope="module")
def county():
    settings = load_settings(county=COUNTY)
    read = read_county(COUNTY, gear_items=frozenset(settings.gear.items))
    survey = read_sites(
        read.survey_files,
        county=read.county,
        agency_codes=frozenset(agency.code for agency in read.agencies),
        as_of=date(2026, 11, 1),
    )
    given = {"county": read.county, "agencies": read.agencies, "settings": settings}
    return survey.sites, {**given, "as_of": date(2026, 11, 1)}


def best_s(call, rounds):
    times = []
    for _ in range(rounds):
        begin = process_time()
        call()
        times.append(process_time() - begin)
    return min(times)


def state_s():
    """Seconds of one plain loaded state."""
    at_m = np.random.default_rng(1).uniform(2.0, 38.0, STATES)
    line = {"span_m": 40.0, "rise_m": 0.5, "weight_n_m": 0.75, "stiffness_n": 1e5}
    length = unstretched_length_m(**line, pretension_n=2000.0)
    asked = {**line, "unstretched_m": length, "at_m": at_m, "downstream_n": 2800.0, "down_n": 200.0}
    return best_s(lambda: solve_states(**asked), 5) / STATES


def test_workings_of_sites_in_a_batch_and_alone(benchmark, county):
    sites, given = county
    batch = [sites[number % len(sites)] for number in range(IN_A_BATCH)]
    plans = benchmark.pedantic(
        plan_sites, args=(batch,), kwargs=given, rounds=2, iterations=1, warmup_rounds=1
    )
    assert all(isinstance(one, SitePlan) for one in plans)
    together_s = best_s(lambda: plan_sites(batch, **given), 2) / IN_A_BATCH
    alone_s = best_s(lambda: plan_sites(sites[:1], **given), 3)
    benchmark.extra_info["milliseconds_a_site"] = 1e3 * together_s
    benchmark.extra_info["milliseconds_alone"] = 1e3 * alone_s
    benchmark.extra_info["states_a_site"] = together_s / state_s()
    assert alone_s > 3.0 * together_s
