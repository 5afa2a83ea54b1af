"""Kept days measured by a Dask cluster: the same bits, whoever is killed meanwhile; in one line why not."""

from __future__ import annotations

import json
import os
import signal
import subprocess
from collections.abc import Iterator
from functools import partial
from pathlib import Path

import pytest

from telemetry import pipeline
from telemetry.errors import CallError
from telemetry.pipeline import on_cluster as module
from telemetry.pipeline.measuring_anew import measured_anew, versions, work_of
from telemetry.pipeline.on_cluster import connected, on_cluster, require_workers
from telemetry.pipeline.originals import Originals
from tests.cli.run_here import Done, commanded
from tests.library.aged import OLD, Deadly, bits, records
from tests.library.cluster import LONGEST_S, cluster
from tests.library.small_library import found

Cluster = tuple[str, subprocess.Popen[bytes]]


@pytest.fixture(scope="module")
def running(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Cluster]:
    with cluster(tmp_path_factory.mktemp("cluster")) as started:
        yield started


PATIENT_S, HASTY_S = LONGEST_S, 0.5
"""How long a scheduler that is there may take on a busy machine; and how long one is waited for that isn't."""


@pytest.fixture(autouse=True)
def _patient(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "ANSWER_S", PATIENT_S)
    monkeypatch.setattr(module, "HANDSHAKE_S", PATIENT_S)
    monkeypatch.setattr(module, "NO_WORKER_S", PATIENT_S)
    monkeypatch.setattr(module, "LOOK_EVERY_S", 0.5)


def asked(root: Path, address: str, *words: object) -> Done:
    return commanded("library", "reanalyse", *words, "--library", root, "--scheduler", address)


def test_the_same_bits_as_one_process_and_a_killed_worker_s_days_are_done_again(
    three: Path, running: Cluster, tmp_path: Path
) -> None:
    one_by_one = [measured_anew(work_of(kept, Originals(three))) for kept in records(three)]
    for number in (0, 2):
        (tmp_path / f"mark_{number}").touch()
    deadly = [Deadly(three, mark=tmp_path / f"mark_{number}") for number in range(3)]
    works = [work_of(kept, own) for kept, own in zip(records(three), deadly, strict=True)]
    with connected(running[0]) as client:
        threads = require_workers(client, versions(), Originals(three), records(three)[0].originals[0])
        assert threads == 2
        assert bits(on_cluster(client, partial(next, iter(works), None), threads)) == bits(one_by_one)
    assert (tmp_path / "mark_1").exists()


def test_a_library_is_measured_by_a_cluster_from_its_path_or_a_url(three: Path, running: Cluster) -> None:
    done = asked(three, running[0], "--json", records(three)[0].id)
    assert (done.returncode, done.stderr) == (0, "")
    assert json.loads(done.stdout)["measured"] == 1
    done = asked(three, running[0], "--data-from", three.as_uri(), "--json")
    assert json.loads(done.stdout)["measured"] == 2, done


def test_what_keeps_a_cluster_from_it_is_one_line(
    three: Path, running: Cluster, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    told = {
        f"{running[0][:-1]}x": "found no Dask scheduler that answers",
        "nowhere": "found no Dask scheduler that answers",
    }
    monkeypatch.setattr(module, "ANSWER_S", HASTY_S)
    for address, line in told.items():
        done = asked(three, address)
        assert (done.returncode, len(done.stderr.splitlines())) == (2, 1), done
        assert line in done.stderr
    monkeypatch.setattr(module, "ANSWER_S", PATIENT_S)
    done = asked(three, running[0], "--data-from", (tmp_path / "elsewhere").as_uri())
    assert (done.returncode, len(done.stderr.splitlines())) == (2, 1), done
    assert "worker tcp://" in done.stderr
    assert "no such file" in done.stderr.lower()
    with connected(running[0]) as client, pytest.raises(CallError, match="found definitions 2 in place of 99"):
        require_workers(client, {**versions(), "definitions": "99"}, Originals(three), None)
    assert {day.definitions for day in found(three)} == {OLD}


@pytest.mark.parametrize("way", [signal.SIGSTOP, signal.SIGKILL])  # the last: nothing is left of the cluster
def test_a_scheduler_that_vanishes_is_one_line_and_the_next_call_goes_on(
    three: Path, running: Cluster, way: signal.Signals, monkeypatch: pytest.MonkeyPatch
) -> None:
    address, process = running

    class Ends:
        def expect(self, total: int) -> None:
            assert total == 3

        def __call__(self, _: str) -> None:
            os.kill(process.pid, way)
            monkeypatch.setattr(module, "ANSWER_S", HASTY_S)

    try:
        with pytest.raises(CallError, match="found a scheduler that answers no more") as told:
            pipeline.reanalyse(three, None, pipeline.Hands(scheduler=address), Ends())
    finally:
        os.kill(process.pid, signal.SIGCONT)
    assert "goes on where this one ended" in told.value.line
    assert OLD in {day.definitions for day in found(three)}
    done = commanded("library", "reanalyse", "--library", three, "--at-once", 1, "--json")
    answer = json.loads(done.stdout)
    assert (answer["measured"], answer["by_earlier_call"] >= 1) == (3, True)
