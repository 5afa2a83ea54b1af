"""A command run as the shell would, in this process: starting one for each test would load scipy a hundred times."""

from __future__ import annotations

import io
from contextlib import redirect_stderr, redirect_stdout
from typing import NamedTuple

import pytest

from telemetry.cli import main


class Done(NamedTuple):
    """What a command left: exit code, standard output, standard error."""

    returncode: int
    stdout: str
    stderr: str


def commanded(*words: object) -> Done:
    """Run a command."""
    output, errors = io.StringIO(), io.StringIO()
    with redirect_stdout(output), redirect_stderr(errors), pytest.raises(SystemExit) as left:
        main([str(word) for word in words])
    return Done(int(left.value.code or 0), output.getvalue(), errors.getvalue())
