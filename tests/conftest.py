"""For every test: draws of Hypothesis are fixed, and an interrupt works in the processes started here.

The same examples are drawn on every machine, and none is timed: a suite that fails by chance, or because another
program runs beside it, says nothing of the change under test. ``python -m tests.properties`` draws by chance.
"""

from __future__ import annotations

import signal

from hypothesis import HealthCheck, settings

settings.register_profile("fixed", derandomize=True, deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.register_profile("chance", parent=settings.get_profile("fixed"), derandomize=False, print_blob=True)
settings.load_profile("fixed")

if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:  # a shell's background job; its children would never stop
    signal.signal(signal.SIGINT, signal.default_int_handler)
