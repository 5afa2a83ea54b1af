"""For every test: draws of Hypothesis are fixed, and an interrupt works in the processes started here.

The same examples are drawn on every machine, and none is timed: a suite that fails by chance, or because another
program runs beside it, says nothing of the change under test. ``python -m tests.properties`` draws by chance.

Workers that run side by side take tests in the order they are written, then what another has left, so that what the
tests of a file share is made once; linear algebra keeps to one thread, as the processor is the workers'. While tests
are collected nothing is garbage: looking for it took a third of that time, and looking through ten thousand tests once
more took a fiftieth of theirs.
"""

from __future__ import annotations

import gc
import os
import signal
from typing import Any

import pytest
from hypothesis import HealthCheck, settings

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # read when numpy is first imported
os.environ["TELEMETRY_LIBRARY"] = os.devnull + "/no_library"  # nothing can be kept there by mistake

settings.register_profile("fixed", derandomize=True, deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.register_profile("chance", parent=settings.get_profile("fixed"), derandomize=False, print_blob=True)
settings.load_profile("fixed")

gc.disable()

if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:  # a shell's background job; its children would never stop
    signal.signal(signal.SIGINT, signal.default_int_handler)


@pytest.hookimpl(tryfirst=True)
def pytest_runtestloop() -> None:
    """Look for garbage from now on, but not among what was collected."""
    gc.freeze()
    gc.enable()


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config: pytest.Config, log: Any) -> Any:
    """Let workers steal work unless another way was asked for."""
    from xdist.scheduler import WorkStealingScheduling

    return WorkStealingScheduling(config, log) if config.getoption("dist") == "load" else None
