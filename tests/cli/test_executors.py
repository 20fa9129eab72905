"""What batches are run by: signals, and a cluster of two workers."""

import os
import signal
import subprocess
import sys

import pytest

from atlas.cli.executors import ctrl_c_kept_from_children, executor_for


@pytest.mark.skipif(not hasattr(signal, "pthread_sigmask"), reason="signals have no mask here")
def test_a_process_started_meanwhile_never_gets_ctrl_c():
    code = "import signal; print(signal.SIGINT in signal.pthread_sigmask(signal.SIG_BLOCK, []))"
    with ctrl_c_kept_from_children():
        started = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert started.stdout == "True\n"
    assert signal.SIGINT not in signal.pthread_sigmask(signal.SIG_BLOCK, [])


@pytest.mark.skipif(not hasattr(signal, "pthread_sigmask"), reason="signals have no mask here")
def test_ctrl_c_of_that_time_is_not_lost():
    def interrupted():
        with ctrl_c_kept_from_children():
            os.kill(os.getpid(), signal.SIGINT)

    handler = signal.getsignal(signal.SIGINT)
    with pytest.raises(KeyboardInterrupt):
        interrupted()
    assert signal.getsignal(signal.SIGINT) is handler
    assert signal.SIGINT not in signal.pthread_sigmask(signal.SIG_BLOCK, [])


def test_a_few_sites_are_made_in_this_process():
    with executor_for(2, 3) as executor:
        assert executor is None
