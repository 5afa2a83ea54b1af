"""Notes that are the same at several logs: said once, with the logs named."""

from __future__ import annotations

from telemetry.model.finding import Finding
from telemetry.telling.logs import LogVerdict, told_once


def log(name: str, *findings: Finding) -> LogVerdict:
    return LogVerdict(log=name, name=f"{name} (oil)", verdict="good", findings=findings)


def stated(name: str, travel: int = 160) -> Finding:
    return Finding(code="travel_is_stated", message=f"{name}, front: against the stated travel, {travel} mm")


def test_a_note_of_every_run_is_told_once_of_all() -> None:
    logs, shared = told_once([log(name, stated(name)) for name in ("run_1", "run_10")], [log("sag.csv")])
    assert [item.findings for item in logs] == [(), (), ()]
    assert [note.message for note in shared] == ["all runs, front: against the stated travel, 160 mm"]


def test_a_note_of_some_names_them_and_another_figure_stays_at_its_run() -> None:
    runs = [log("run_1", stated("run_1")), log("run_2", stated("run_2", 170)), log("run_3", stated("run_3"))]
    logs, shared = told_once(runs, [])
    assert [len(item.findings) for item in logs] == [0, 1, 0]
    assert [note.message for note in shared] == ["run_1, run_3, front: against the stated travel, 160 mm"]


def test_what_speaks_against_a_log_stays_at_it() -> None:
    runs = [log(name, Finding(code="short_run", message=f"{name}: 20 s of riding")) for name in ("run_1", "run_2")]
    logs, shared = told_once(runs, [])
    assert (logs, shared) == (tuple(runs), ())


def test_a_day_of_one_run_names_it() -> None:
    logs, shared = told_once([log("run_1", stated("run_1"))], [])
    assert (len(logs[0].findings), shared) == (1, ())
