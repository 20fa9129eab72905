"""Whatever ends a run, the old edition or the new one stands whole, and the next run completes.

``REACH_ATLAS_KILLS=100 python -m pytest tests/cli/test_nothing_lost.py`` kills a hundred runs instead of four.
"""

import os
import random
import shutil
import signal
import time
from pathlib import Path

import pytest

import atlas.cli.binder as binder_command

KILLS = int(os.environ.get("REACH_ATLAS_KILLS", "4"))
DAYS = ("2026-06-01", "2026-06-02")
"""The same county on two days: two editions of one name, which differ in their cover."""
PLACE = Path("output/flats-2026")


def everything(folder):
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(Path(folder).rglob("*"))
        if path.is_file()
    }


@pytest.fixture
def one(ground):
    """The smallest county there is."""
    return ground.county(features=ground.maker.site("MS-1", name="Mill Weir", span_m=24.0))


@pytest.fixture
def editions(cli, one):
    """Both editions as clean runs print them; the first of them stands."""
    whole = {}
    for day in DAYS:
        assert cli("binder", "--county", one, "--as-of", day, "--out", day).code == 0
        whole[day] = everything(Path(day) / PLACE.name)
    shutil.copytree(DAYS[0], "output")
    assert whole[DAYS[0]] != whole[DAYS[1]]
    return whole


def standing():
    """The edition that stands; between two renames, the one put aside."""
    aside = sorted(Path("output").glob(".flats-2026.old-*"))
    return everything(PLACE if PLACE.exists() else aside[0])


def test_killed_at_random_moments(cli, started, one, editions):
    """SIGKILL, somewhere between the start of a run and its end, half of them with nothing in the cache."""
    moments = random.Random(20260601)  # noqa: S311 -- the same moments on every run
    begin = time.monotonic()
    started("binder", "--county", one, "--as-of", DAYS[1], "--out", "elsewhere").communicate(timeout=120)
    longest_s = time.monotonic() - begin
    new = DAYS[1]
    for number in range(KILLS):
        if number % 2:
            shutil.rmtree("output/.cache", ignore_errors=True)
        process = started("binder", "--county", one, "--as-of", new)
        time.sleep(moments.uniform(0.0, longest_s))
        os.killpg(process.pid, signal.SIGKILL)
        process.communicate(timeout=60)
        assert standing() in editions.values(), f"torn by kill {number}"
        ran = cli("binder", "--county", one, "--as-of", new)
        assert ran.code == 0, ran.err
        assert everything(PLACE) == editions[new]
        left = [path.name for path in Path("output").iterdir() if path.name not in {".cache", PLACE.name}]
        assert left == [], f"left behind by kill {number}"
        new = DAYS[DAYS.index(new) - 1]


def test_two_runs_at_once_do_not_mix(started, one, editions):
    running = [started("binder", "--county", one, "--as-of", day) for day in DAYS]
    ended = [process.communicate(timeout=120) for process in running]
    codes = [process.returncode for process in running]
    assert set(codes) <= {0, 3}
    assert 0 in codes
    for code, (_, err) in zip(codes, ended, strict=True):
        if code == 3:
            assert err.decode() == f"{PLACE}: another run wrote it at the same time; run again\n"
    assert everything(PLACE) in editions.values()


def test_a_cache_taken_away_meanwhile_is_3_in_one_line(cli, one, editions, monkeypatch):
    """The sheets were made and kept; they are gone when the binder is put together."""
    bound = binder_command._bound

    def gone(*arguments):
        shutil.rmtree("output/.cache")
        return bound(*arguments)

    monkeypatch.setattr(binder_command, "_bound", gone)
    ran = cli("binder", "--county", one, "--as-of", DAYS[1])
    assert (ran.code, ran.out) == (3, "")
    (line,) = ran.err.splitlines()
    assert line.startswith("output/.cache/flats-2026/sites-")
    assert line.endswith(": was taken away or cut while it was in use; run again")
    assert everything(PLACE) == editions[DAYS[0]]


def test_a_disk_that_is_full_for_the_cache_is_3_in_one_line(cli, one, editions, monkeypatch):
    replace = Path.replace

    def full(self, target):
        if "sites-" in self.name:
            raise OSError(28, os.strerror(28))
        return replace(self, target)

    monkeypatch.setattr(Path, "replace", full)
    ran = cli("binder", "--county", one, "--as-of", "2026-06-03")
    assert (ran.code, ran.out) == (3, "")
    (line,) = ran.err.splitlines()
    assert line.endswith(
        ": cannot be written: No space left on device; make room, mend its permissions or name another --out"
    )
    assert everything(PLACE) == editions[DAYS[0]]
