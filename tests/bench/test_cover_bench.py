"""How fast it is found who comes, and against a general solver of the same problem in the same run.

Asked: 15 ms for 20 agencies with 100 ropes, 80 ms for 40 with 300. The cases are lean, so that three or
four agencies are needed. No time is asserted: the figures are printed and kept by the benchmark.
"""

import importlib.util
from pathlib import Path
from time import perf_counter

import pytest

from atlas.cover import who_comes

pytest.importorskip("pytest_benchmark", reason="pytest-benchmark not installed: the extra bench brings it")

SIZES = [(20, 100), (40, 300)]
CASES, PEER_CASES = 20, 2


@pytest.fixture(scope="module")
def peer():
    place = Path(__file__).parents[1] / "cover" / "peer.py"
    spec = importlib.util.spec_from_file_location("peer", place)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.mark.parametrize(("agencies", "ropes"), SIZES)
def test_who_comes(benchmark, peer, agencies, ropes):
    cases = peer.cases(agencies, ropes, CASES)
    benchmark(lambda: [who_comes(job, comers) for job, comers in cases])
    if benchmark.stats is not None:  # none where the benchmarks are switched off
        benchmark.extra_info["ms a case"] = benchmark.stats["min"] / CASES * 1e3


def test_how_many_times_as_fast_as_a_general_solver(peer, record_property):
    """The general solver takes all levels one after the other: the same answer, proven in another test."""
    agencies, ropes = SIZES[0]
    cases = peer.cases(agencies, ropes, PEER_CASES)
    begin = perf_counter()
    ours = [len(who_comes(job, comers)) - 1 for job, comers in cases]
    middle = perf_counter()
    theirs = [round(peer.optimum(job, comers)[3]) for job, comers in cases]
    end = perf_counter()
    ratio = (end - middle) / (middle - begin)
    record_property("times as fast", ratio)
    print(f"who comes, {agencies} agencies, {ropes} ropes: {ratio:.0f} times as fast")  # noqa: T201 -- read by people
    assert ours == theirs
