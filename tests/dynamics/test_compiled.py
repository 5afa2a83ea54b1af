"""Compiled functions work where nothing can be kept on disk, and where what was kept is of no use."""

from __future__ import annotations

import importlib.util
import os
import shutil
import subprocess
import sys
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest

import telemetry
from telemetry.dynamics.compiled import Compiled
from tests.forked import LONGEST_S
from tests.simulation.small_scenario import scenario_file

COMMAND = [sys.executable, "-c", "from telemetry.cli import main; main()"]
NOWHERE = "/proc/nowhere"
"""Not even root makes a folder there."""
SOURCE = """
from telemetry.dynamics.compiled import compiled

@compiled()
def total(values):
    found = 0.0
    for value in values:
        found += value
    return found
"""


def loaded(folder: Path) -> ModuleType:
    """Return a module of one compiled function, read anew from its file."""
    file = folder / "summing.py"
    file.write_text(SOURCE, encoding="utf-8")
    spec = importlib.util.spec_from_file_location("summing", file)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def kept_in(folder: Path) -> list[Path]:
    return sorted((folder / "__pycache__").glob("summing*.nb*"))


def total(module: ModuleType) -> float:
    return float(module.total(np.array([1.0, 2.0, 4.0])))


def test_it_is_kept_beside_its_source(tmp_path: Path) -> None:
    module = loaded(tmp_path)
    assert total(module) == 7.0
    assert [path.suffix for path in kept_in(tmp_path)] == [".nbc", ".nbi"]
    assert isinstance(module.total, Compiled)
    assert module.total.__name__ == "total"


@pytest.mark.parametrize("suffix", [".nbc", ".nbi"])
@pytest.mark.parametrize("left", ["nothing", "half", "zeros"])
def test_what_was_left_of_it_is_of_no_use(suffix: str, left: str, tmp_path: Path) -> None:
    """A machine that lost power keeps a file's name before its bytes."""
    total(loaded(tmp_path))
    (file,) = (path for path in kept_in(tmp_path) if path.suffix == suffix)
    data = file.read_bytes()
    file.write_bytes({"nothing": b"", "half": data[: len(data) // 2], "zeros": bytes(len(data))}[left])
    module = loaded(tmp_path)
    assert total(module) == total(module) == 7.0


def test_the_place_is_gone_when_it_is_to_be_kept(tmp_path: Path) -> None:
    module = loaded(tmp_path)
    shutil.rmtree(tmp_path / "__pycache__")
    (tmp_path / "__pycache__").write_text("in the way", encoding="utf-8")
    assert total(module) == total(module) == 7.0
    assert kept_in(tmp_path) == []


def test_errors_of_its_own_are_raised(tmp_path: Path) -> None:
    with pytest.raises(TypeError, match=r"missing|required|not enough"):
        loaded(tmp_path).total()


def test_a_day_is_simulated_where_nothing_can_be_kept(tmp_path: Path) -> None:
    """A file stands where the program's own folders would be, and the user's can't be made."""
    package = tmp_path / "program" / "telemetry"
    shutil.copytree(Path(telemetry.__file__).parent, package, ignore=shutil.ignore_patterns("__pycache__"))
    for folder in ("dynamics", "simulation"):
        (package / folder / "__pycache__").write_text("in the way", encoding="utf-8")
    (tmp_path / "work").mkdir()
    scenario = scenario_file(tmp_path)
    surroundings = {
        **{name: value for name, value in os.environ.items() if not name.startswith("NUMBA")},
        "HOME": NOWHERE,
        "XDG_CACHE_HOME": NOWHERE,
        "PYTHONPATH": str(package.parent),
        "PYTHONDONTWRITEBYTECODE": "1",
    }
    done = subprocess.run(
        [*COMMAND, "simulate", str(scenario), "--out", "day"],
        cwd=tmp_path / "work",
        env=surroundings,
        capture_output=True,
        text=True,
        check=False,
        timeout=LONGEST_S,
    )
    assert (done.returncode, done.stderr) == (0, "")
    assert (tmp_path / "work" / "day" / "run_2.csv").stat().st_size > 100_000
    assert list(package.rglob("*.nb*")) == []
