"""Kept days measured anew: new results beside old, resumed where it ended, and what can't be measured left alone."""

from __future__ import annotations

import hashlib
import json
from dataclasses import replace
from functools import partial
from pathlib import Path

import pytest

import telemetry
from telemetry import library, pipeline
from telemetry.errors import CallError
from telemetry.library.record import unpacked
from telemetry.pipeline.lenders import DEFINITIONS
from telemetry.pipeline.measuring_anew import measured_anew, versions, work_of
from telemetry.pipeline.originals import Originals
from telemetry.pipeline.side_by_side import ENDED, side_by_side
from tests.cli.run_here import commanded
from tests.library.aged import FACTOR, OLD, Deadly, bits, records, results, rewritten
from tests.library.conftest import One
from tests.library.small_library import found, kept, state
from tests.library.test_caring import checked, flip
from tests.pipeline.small_days import make_day
from tests.pipeline.test_kept_spread import RIDDEN, SECONDS, earlier_day, of_the_trail


def again(root: Path, *words: object) -> dict[str, object]:
    done = commanded("library", "reanalyse", *words, "--library", root, "--at-once", 1, "--json")
    assert done.returncode == 0, done.stderr
    return dict(json.loads(done.stdout))


def sag_of(root: Path) -> list[float]:
    with telemetry.open_library(root) as days:
        past = days.history("mule")
    return list(past[(past["measure"] == "dynamic_sag") & (past["end"] == "front")]["value"])


def test_by_today_s_definitions_there_is_nothing_to_do(one: One) -> None:
    before = state(one.root)
    done = commanded("library", "reanalyse", "--library", one.root)
    assert (done.returncode, done.stdout) == (0, "nothing to do: 1 kept day measured by today's definitions (2)\n")
    assert state(one.root).keys() == before.keys()
    asked = again(one.root, "--anyway")
    assert (asked["measured"], asked["alike"], asked["measures"], asked["verdicts"]) == (1, 1, [], [])
    (record,) = records(one.root)
    assert record.before == ()
    assert checked(one.root)[0] == 0


def test_new_results_stand_beside_the_old_and_the_answer_says_what_changed(one: One) -> None:
    wanted, new_sag = results(one.root), sag_of(one.root)
    rewritten(one.root)
    old = results(one.root)
    assert sag_of(one.root) == [value * FACTOR for value in new_sag]
    told = again(one.root)
    assert (told["measured"], told["alike"], told["travel_made"], told["not_measured"]) == (1, 0, 0, [])
    (row,) = told["measures"]  # type: ignore[misc]
    assert (row["measure"], row["end"], row["days"], row["came"], row["went"]) == ("dynamic_sag", "front", 1, 0, 0)
    assert row["largest"]["old"] == row["largest"]["new"] * FACTOR
    assert row["largest"]["new"] == max(new_sag)
    assert {(item["old"], item["new"]) for item in told["verdicts"]} == {("unchanged", "undecided")}  # type: ignore[attr-defined]
    stem = f"{one.id}.1"
    assert results(one.root) == {stem: [*wanted[stem], *old[stem]]}  # type: ignore[misc]
    assert sag_of(one.root) == new_sag
    assert [day.definitions for day in found(one.root)] == [DEFINITIONS]
    assert checked(one.root) == (0, ["looked at 1 kept version with 13 files; all of it is whole"], "")
    with telemetry.open_library(one.root) as days:
        told_of = days.results(one.id)
    sag = told_of[(told_of["measure"] == "dynamic_sag") & (told_of["end"] == "front") & (told_of["setup"] == "a")]
    assert list(sag["definitions"]) == [OLD, DEFINITIONS]
    assert list(sag["value"]) == [new_sag[0] * FACTOR, new_sag[0]]


def test_only_those_asked_for_are_measured(three: Path) -> None:
    ids = [day.id for day in found(three)]
    assert again(three, ids[0])["measured"] == 1
    assert again(three, "--to", "2026-05-01")["measured"] == 1
    assert again(three, "no such word")["measured"] == 0
    last = again(three)
    assert (last["measured"], last["standing"]) == (1, 2)
    done = commanded("library", "reanalyse", ids[0], "2026-05-01-abcdef", "--library", three)
    assert "found no day '2026-05-01-abcdef'" in done.stderr


def test_ended_it_goes_on_where_it_was_and_tells_of_all(three: Path) -> None:
    class Ends:
        def expect(self, total: int) -> None:
            assert total == 3

        def __call__(self, _: str) -> None:
            raise KeyboardInterrupt

    asked, one_process = pipeline.Asked(anyway=True), pipeline.Hands(at_once=1)
    with pytest.raises(KeyboardInterrupt):
        pipeline.reanalyse(three, asked, one_process, Ends())
    assert sorted(day.definitions for day in found(three)) == [OLD, OLD, DEFINITIONS]
    told = again(three, "--anyway")
    assert (told["measured"], told["by_earlier_call"], told["alike"]) == (3, 1, 0)
    assert told["measures"][0]["days"] == 3  # type: ignore[index]
    assert again(three, "--anyway")["by_earlier_call"] == 0  # through: the next begins anew


def test_a_day_of_damaged_originals_is_told_and_left(three: Path) -> None:
    before = results(three)
    target = records(three)[0]
    own = next(file for file in target.files if file.is_day)
    flip(library.Store(three).path("original", own.sha256))
    done = commanded("library", "reanalyse", "--library", three, "--at-once", 1)
    assert done.returncode == 2
    assert f"{target.id} stays as it was: " in done.stdout
    assert "found other bytes than were kept as ride_day.toml" in done.stdout
    assert "measured 2 days" in done.stdout
    assert "Dynamic sag, %, front" in done.stdout  # as people call it; in JSON by its name
    assert "dynamic_sag" not in done.stdout
    assert len(done.stderr.splitlines()) == 1
    assert results(three)[target.stem] == before[target.stem]


@pytest.mark.parametrize("harm", ["lost", "flipped"])
def test_lost_travel_is_made_again_from_the_originals(one: One, harm: str) -> None:
    file = max((one.root / "travel").glob("*/*"), key=lambda path: path.stat().st_size)
    whole = file.read_bytes()
    if harm == "lost":
        file.unlink()
    else:
        flip(file)
    code, lines, _ = checked(one.root)
    assert code == 2
    assert f"`telemetry library reanalyse {one.id}` makes it again" in lines[0]
    assert again(one.root, one.id)["travel_made"] == 1
    assert checked(one.root)[0] == 0
    assert file.read_bytes() == whole


def test_other_travel_is_kept_beside_the_old(one: One) -> None:
    (record,) = records(one.root)
    first, *others = [file for file in record.files if file.kind == "travel"]
    swapped = {first.path: others[1].sha256}  # as if the filter had been another: the travel of another run
    files = tuple(
        replace(file, sha256=swapped[file.path]) if file.kind == "travel" and file.path in swapped else file
        for file in record.files
    )
    rewritten(one.root, lambda kept: replace(kept, files=files, definitions=OLD))
    assert again(one.root)["travel_made"] == 1
    (record,) = records(one.root)
    assert {file.path: file.sha256 for file in record.results.travel}[first.path] == first.sha256
    assert {file.path: file.sha256 for file in record.before[0].travel}[first.path] == others[1].sha256
    assert checked(one.root)[0] == 0


def test_lost_travel_of_earlier_results_is_left_out_of_them(one: One) -> None:
    (record,) = records(one.root)
    first, *others = [file for file in record.files if file.kind == "travel"]
    data = b"travel by another filter"
    earlier = replace(first, sha256=hashlib.sha256(data).hexdigest(), size=len(data))
    place = library.Store(one.root).path("travel", earlier.sha256)
    place.parent.mkdir(exist_ok=True)
    place.write_bytes(data)
    rewritten(one.root, lambda kept: replace(kept, files=(*kept.originals, earlier, *others), definitions=OLD))
    assert again(one.root)["travel_made"] == 1
    assert checked(one.root)[0] == 0
    place.unlink()
    code, lines, _ = checked(one.root)
    assert code == 2
    assert f"is gone; `telemetry library reanalyse {one.id}` leaves it out" in lines[0]
    assert again(one.root, one.id)["alike"] == 1
    assert checked(one.root)[0] == 0
    (record,) = records(one.root)
    assert len(record.before[0].travel) == len(others)


def test_of_days_asked_for_by_their_ids_a_damaged_record_costs_no_other(three: Path) -> None:
    ids = [day.id for day in found(three)]
    again(three)
    flip(library.Store(three).record(f"{ids[0]}.1"))
    done = commanded("library", "reanalyse", *ids, "--anyway", "--library", three, "--at-once", 1)
    assert done.returncode == 2
    assert "measured 2 days" in done.stdout
    assert f"{ids[0]} stays as it was: " in done.stdout


def test_a_day_taken_out_or_changed_meanwhile_is_let_be(one: One) -> None:
    (record,) = records(one.root)
    measured = measured_anew(work_of(record, Originals(one.root)))
    assert measured.results is not None
    commanded("forget", "Ann Example", "--library", one.root)
    before = state(one.root)
    assert library.enter_anew(one.root, record, measured.results, {}) is None
    library.take_out(one.root, one.id)
    assert library.enter_anew(one.root, record, measured.results, {}) is None
    assert before.keys() - state(one.root).keys()


def test_a_name_goes_from_earlier_results_too(one: One) -> None:
    rewritten(one.root, lambda kept: replace(kept, definitions=OLD, headline="as Ann Example wanted it"))
    again(one.root)
    (record,) = records(one.root)
    assert "Ann" in record.before[0].headline
    commanded("forget", "Ann Example", "--library", one.root)
    (record,) = records(one.root)
    assert "Ann" not in record.before[0].headline
    assert checked(one.root)[0] == 0


def test_processes_side_by_side_give_the_same_bits_and_one_that_is_killed_costs_no_day(
    three: Path, tmp_path: Path
) -> None:
    one_by_one = [measured_anew(work_of(kept, Originals(three))) for kept in records(three)]
    deadly = [Deadly(three, mark=tmp_path / f"mark_{number}") for number in range(3)]
    for number in (0, 2):
        (tmp_path / f"mark_{number}").touch()
    works = [work_of(kept, own) for kept, own in zip(records(three), deadly, strict=True)]
    assert bits(side_by_side(partial(next, iter(works), None), 2)) == bits(one_by_one)
    assert (tmp_path / "mark_1").exists()


def test_only_the_day_that_ends_its_process_every_time_is_left(three: Path) -> None:
    originals = [Deadly(three), Originals(three)]
    works = [work_of(kept, own) for kept, own in zip(records(three)[:2], originals, strict=True)]
    told = {own.stem: own.why_not for own in side_by_side(partial(next, iter(works), None), 2)}
    assert told == {works[0].kept.stem: ENDED, works[1].kept.stem: ""}


def test_days_that_lend_their_spread_are_measured_before_those_that_borrow(tmp_path: Path) -> None:
    root = tmp_path / "days"
    earlier = [earlier_day(tmp_path / f"march_{number}", number) for number in (1, 2, 3)]
    today = of_the_trail(make_day(tmp_path / "today", "abab", seconds=SECONDS), RIDDEN)
    ids = [kept(day, root) for day in (*earlier, today)]
    before = {kept.stem: kept for kept in records(root)}
    assert before[f"{ids[-1]}.1"].lent_by == tuple(f"{name}.1" for name in ids[:3])
    rewritten(root)
    told = again(root, ids[-1])
    assert told["measured"] == 4  # what it borrows from by other definitions would be another comparison
    assert {stem: after[0] for stem, after in results(root).items()} == {  # type: ignore[index]
        stem: replace(kept.results, measured_at="", program="") for stem, kept in before.items()
    }


def test_other_versions_are_refused(one: One) -> None:
    (record,) = records(one.root)
    work = replace(work_of(record, Originals(one.root)), versions={**versions(), "definitions": "99"})
    assert measured_anew(work).refused == "definitions 2 in place of 99"


def test_files_are_read_by_content_from_any_url(one: One) -> None:
    (record,) = records(one.root)
    measured = measured_anew(work_of(record, Originals(Path("/nowhere"), one.root.as_uri())))
    assert measured.results is not None
    assert measured.travel == {}
    for url, why_not in ((Path("/nowhere").as_uri(), "no such file"), ("nonsense://x", "nonsense")):
        lost = Originals(Path("/nowhere"), url)
        assert why_not in measured_anew(work_of(record, lost)).why_not
        with pytest.raises(CallError, match="expected the library's files there"):
            lost.require(record.files[0])


def test_a_record_of_the_first_form_is_read(one: One) -> None:
    import gzip

    (record,) = records(one.root)
    raw = json.loads(gzip.decompress(record.packed()))
    raw["form"] = 1
    del raw["before"], raw["measured_at"]
    assert unpacked(gzip.compress(json.dumps(raw).encode())) == record
