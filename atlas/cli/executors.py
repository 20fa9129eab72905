"""What the batches of a binder are run by: this process, processes beside it, or a cluster."""

from __future__ import annotations

import os
import signal
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import Executor, Future, ProcessPoolExecutor
from contextlib import contextmanager
from multiprocessing import get_context
from typing import Any

from atlas.faults import OutputError, UsageError

__all__ = ["ctrl_c_kept_from_children", "executor_for"]

SITES_FOR_TWO = 8
"""From so many sites on a second process pays for its start."""
CLUSTER_PATIENCE_S = "10s"


@contextmanager
def ctrl_c_kept_from_children() -> Iterator[None]:
    """Processes started meanwhile never get Ctrl-C, from their first instruction on; this one still does.

    A terminal sends Ctrl-C to every process of the command: a worker that got it while it was still
    importing would fill the terminal with its traceback. Does nothing where signals have no mask.
    """
    if not hasattr(signal, "pthread_sigmask") or threading.current_thread() is not threading.main_thread():
        yield
        return
    came: list[int] = []
    # the mask is inherited by children; but it is this thread's alone, and another may take the signal
    handler = signal.signal(signal.SIGINT, lambda number, _: came.append(number))
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)
        signal.signal(signal.SIGINT, handler)
        if came:
            raise KeyboardInterrupt


def _leave_ctrl_c_to_the_parent() -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)


class _Processes(ProcessPoolExecutor):
    """Processes beside this one, which alone answers Ctrl-C. A submit may start one."""

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:  # noqa: ANN401 -- as its base
        with ctrl_c_kept_from_children():
            return super().submit(fn, *args, **kwargs)


@contextmanager
def _processes(count: int) -> Iterator[Executor]:
    pool = _Processes(count, mp_context=get_context("spawn"), initializer=_leave_ctrl_c_to_the_parent)
    try:
        yield pool
    finally:
        pool.shutdown(cancel_futures=True)


@contextmanager
def _cluster(address: str) -> Iterator[Executor]:
    try:
        from distributed import Client
    except ImportError:
        raise UsageError(
            "--cluster needs dask.distributed, which is not installed; pip install 'reach-atlas[cluster]'"
        ) from None
    try:
        client = Client(address, timeout=CLUSTER_PATIENCE_S, set_as_default=False)
    except (OSError, ValueError) as cause:
        why = str(cause).splitlines()[0] if str(cause) else type(cause).__name__
        raise OutputError(f"--cluster {address}: no scheduler answers there: {why}") from None
    with client, client.get_executor(pure=False) as executor:
        yield executor


@contextmanager
def executor_for(batches: int, sites: int, *, cluster: str | None = None) -> Iterator[Executor | None]:
    """What to run so many batches of so many sites by; None for this process.

    Parameters
    ----------
    cluster : address of a dask scheduler

    Raises
    ------
    UsageError
        The cluster's library is not installed.
    OutputError
        No scheduler answers at the address.
    """
    if not batches:
        yield None
    elif cluster is not None:
        with _cluster(cluster) as executor:
            yield executor
    elif batches > 1 and sites >= SITES_FOR_TWO and (os.cpu_count() or 1) > 1:
        with _processes(min(batches, os.cpu_count() or 1)) as executor:
            yield executor
    else:
        yield None
