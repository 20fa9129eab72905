"""A county's year at county scale, whole processes: seconds, CPU seconds and the largest process.

``REACH_ATLAS_BENCH_SITES=1000 python -m pytest tests/bench/test_county_bench.py -s --benchmark-only``.
Figures go to the benchmark's extra_info and are printed; none is asserted, for a clock tells of the machine.
"""

import json
import os
import resource
import subprocess
import sys
import time
from pathlib import Path

import pytest

pytest.importorskip("pytest_benchmark", reason="pytest-benchmark not installed: the extra bench brings it")

SITES = int(os.environ.get("REACH_ATLAS_BENCH_SITES", "0"))
pytestmark = pytest.mark.skipif(SITES == 0, reason="REACH_ATLAS_BENCH_SITES is not set: it takes minutes")


@pytest.fixture(scope="module")
def county(tmp_path_factory, big_county):
    """One site in twenty to a reach, as many as asked; tests run in their order, each on what stands."""
    folder = tmp_path_factory.mktemp("county")
    return big_county.write_big_county(folder / "big", sites=SITES, reaches=max(1, SITES // 20))


@pytest.fixture
def run(county, benchmark):
    """Run a command once in a process of its own and note what it took."""

    def once(*arguments):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        begin = time.perf_counter()
        ended = subprocess.run(
            [sys.executable, "-m", "atlas", *map(str, arguments)], cwd=county.parent, check=False,
            capture_output=True, text=True,
        )  # fmt: skip
        wall_s = time.perf_counter() - begin
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        assert ended.returncode in {0, 1}, ended.stderr  # 1: a site that could not be made
        benchmark.extra_info |= {
            "sites": SITES,
            "wall_s": round(wall_s, 2),
            "cpu_s": round(after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime, 2),
            "largest_process_mb": round(after.ru_maxrss / 1024),  # of all runs so far
        }
        sys.stdout.write(f"\n{' '.join(map(str, arguments))}: {json.dumps(benchmark.extra_info)}\n")

    return lambda *arguments: benchmark.pedantic(once, arguments, rounds=1, iterations=1)


def change_one_site(county):
    path = min((county / "surveys").iterdir())
    survey = json.loads(path.read_bytes())
    survey["features"][1]["properties"]["height"] += 0.3
    path.write_text(json.dumps(survey), encoding="utf-8")


def test_help(run):
    run("--help")


def test_check(run):
    run("check", "--county", "big")


def test_clean_binder(run):
    run("binder", "--county", "big", "--out", "out")


def test_nothing_changed(run):
    run("binder", "--county", "big", "--out", "out")


def test_one_site_changed(run, county):
    Path(county.parent, "out", "big-2026").rename(county.parent / "before")
    change_one_site(county)
    run("binder", "--county", "big", "--out", "out")


def test_swap(run):
    run("swap", "before", "out/big-2026", "--out", "out")
