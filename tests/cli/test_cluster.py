"""The same bytes from a cluster of two workers; what is amiss with a cluster told in one line."""

import sys
from pathlib import Path

import pytest

pytest.importorskip("distributed", reason="distributed not installed: the extra cluster brings it")


@pytest.fixture
def scheduler():
    """A cluster of two worker processes on this machine; gives its address."""
    from distributed import LocalCluster  # noqa: PLC0415 -- after the skip

    with LocalCluster(
        n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None, host="127.0.0.1"
    ) as cluster:
        yield cluster.scheduler_address


def everything(folder):
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(Path(folder).rglob("*"))
        if path.is_file()
    }


@pytest.mark.filterwarnings("default")  # of the cluster's own parts
def test_a_cluster_of_two_workers_prints_the_same_bytes(cli, flats, scheduler):
    there = cli("binder", "--county", flats, "--out", "there", "--cluster", scheduler)
    here = cli("binder", "--county", flats, "--out", "here")
    assert (there.code, here.code) == (0, 0), there.err
    assert everything("there/flats-2026") == everything("here/flats-2026")


@pytest.mark.filterwarnings("default")
def test_where_no_scheduler_answers_is_3_in_one_line(cli, flats, monkeypatch):
    monkeypatch.setattr("atlas.cli.executors.CLUSTER_PATIENCE_S", "0.5s")
    ran = cli("binder", "--county", flats, "--cluster", "tcp://127.0.0.1:9")
    assert (ran.code, ran.out) == (3, "")
    assert ran.err.startswith("--cluster tcp://127.0.0.1:9: no scheduler answers there: ")
    assert len(ran.err.splitlines()) == 1


def test_without_the_extra_it_is_said_how_to_get_it(cli, flats, monkeypatch):
    monkeypatch.setitem(sys.modules, "distributed", None)
    ran = cli("binder", "--county", flats, "--cluster", "tcp://127.0.0.1:9")
    assert (ran.code, ran.out) == (2, "")
    assert ran.err == (
        "--cluster needs dask.distributed, which is not installed; pip install 'reach-atlas[cluster]'\n"
    )
