"""Who comes against a general solver: the same optimum, level by level."""

import importlib.util
from pathlib import Path

import pytest

from atlas.cover import cover_lines, crew_held, gear_cover, pieces_of, who_comes


@pytest.fixture(scope="module")
def peer():
    spec = importlib.util.spec_from_file_location("peer", Path(__file__).parent / "peer.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def reached(job, called):
    """The levels of those who are called, by what their stock covers."""
    agencies = [comer.agency for comer in called]
    covers = cover_lines(job.needs, pieces_of(agencies))
    gear = gear_cover(
        {one.item: one.count for one in job.gear},
        [entry for agency in agencies for entry in agency.gear],
        served_by={one.item: one.served_by for one in job.gear},
        rating_least_n={one.item: one.rating_least_n for one in job.gear},
    )
    return (
        sum(cover.short_m > 0.0 for cover in covers),
        sum(row.short for row in gear),
        max(0, job.people - crew_held(agencies)),
        len(called) - 1,
        max(comer.minutes for comer in called),
        sum(cover.over_micrometres for cover in covers) / 1e6,
    )


@pytest.mark.parametrize(("agencies", "ropes", "count"), [(3, 12, 12), (6, 30, 14), (10, 60, 8)])
def test_the_same_optimum_as_a_general_solver(peer, agencies, ropes, count):
    for job, comers in peer.cases(agencies, ropes, count, seed=agencies):
        best = peer.optimum(job, comers)
        # the general solver keeps each level to a millionth
        assert reached(job, who_comes(job, comers)) == pytest.approx(best, abs=1e-4)
