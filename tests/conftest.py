"""For every test: an interrupt works in the processes started here, also where the suite runs in the background."""

from __future__ import annotations

import signal

if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:  # a shell's background job; its children would never stop
    signal.signal(signal.SIGINT, signal.default_int_handler)
