"""A day without runs says all that its recordings off the trail told, held to closed forms; bad ones are told."""

from __future__ import annotations

from html import unescape
from pathlib import Path

import numpy as np
import pytest

import telemetry
from dashboards.report import render_report
from telemetry.pipeline import report_parts
from telemetry.sheet import Table, plain_table
from telemetry.telling.sitting import HALF_A_BAND, NO_BAND, NOT_LIFTED, OF_BOTH, sitting_notes, sitting_table
from tests.cli.run_here import commanded
from tests.pipeline.setup_days import (
    BAND_MM,
    BOUNCE_HZ,
    DAMPING,
    SAG_MM,
    ZERO_MM,
    ZERO_STROKE_MM,
    make_setup_day,
)
from tests.pipeline.small_days import FRONT_MM, RATE_HZ, write_log
from tests.thresholds import threshold

FULL_MM = {"front": FRONT_MM, "rear": 150.0}
SAG = {"front": "26.9 % (43 mm), ± 4.0 mm", "rear": "33.3 % (50 mm, 33.3 % of stroke), ± 2.0 mm"}
REST_MM = threshold("trust.at_rest.REST_SHARE") * FRONT_MM


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return make_setup_day(tmp_path_factory.mktemp("setup") / "day")


@pytest.fixture(scope="module")
def analysis(folder: Path) -> telemetry.Analysis:
    return telemetry.analyse(telemetry.read_ride_day(folder))


def rewritten(folder: Path, old: str, new: str) -> Path:
    file = folder / "ride_day.toml"
    text = file.read_text(encoding="utf-8")
    assert old in text
    file.write_text(text.replace(old, new, 1), encoding="utf-8")
    return folder


def said(analysis: telemetry.Analysis) -> str:
    return "\n".join(plain_table(part) if isinstance(part, Table) else part for part in analysis.sheet)


def of(folder: Path) -> telemetry.Analysis:
    return telemetry.analyse(telemetry.read_ride_day(folder))


class TestWithoutRuns:
    @pytest.mark.parametrize("end", ["front", "rear"])
    def test_every_recording_gives_what_it_was_made_of(self, analysis: telemetry.Analysis, end: str) -> None:
        found = {
            (item.entry.log.stem, row.measure): row.value
            for item in analysis.static
            for row in item.measures
            if row.end == end
        }
        zero = ZERO_MM if end == "front" else ZERO_STROKE_MM
        assert found == {
            ("lifted_1", "zero_level"): pytest.approx(zero, abs=0.02),
            ("sag_1", "rider_sag"): pytest.approx(100 * SAG_MM[end] / FULL_MM[end], abs=0.05),
            ("settle_2", "friction_band"): pytest.approx(BAND_MM[end], abs=0.1),
            ("bounce_1", "natural_frequency"): pytest.approx(BOUNCE_HZ[end], rel=0.02),
            ("bounce_1", "damping_ratio"): pytest.approx(DAMPING[end], rel=0.08),
        }

    def test_check_analyse_prompt_and_report_say_it(
        self, folder: Path, analysis: telemetry.Analysis, tmp_path: Path
    ) -> None:
        report = tmp_path / "report.html"
        assert commanded("report", folder, "--out", report).returncode == 0
        page = unescape(report.read_text(encoding="utf-8")).replace("\N{NO-BREAK SPACE}", " ")
        assert "<h2>How does it sit?</h2>" in page
        assert "Every run's measures" not in page
        check, analyse = commanded("check", folder), commanded("analyse", folder)
        assert "no run yet" in check.stdout
        for done in (check, analyse):
            assert (done.returncode, done.stderr) == (0, "")
        for told in (check.stdout, analyse.stdout, said(analysis), page):
            for words in (*SAG.values(), "+1.3 mm", "+0.8 mm of stroke", "8.0 mm", "2.00 Hz", HALF_A_BAND):
                assert words in told, words

    def test_json_gives_it_where_recordings_stand(self, folder: Path, analysis: telemetry.Analysis) -> None:
        answer = analysis.to_dict()
        assert answer["runs"] == []
        assert [item["kind"] for item in answer["static"]] == ["lifted", "sag", "settle", "settle", "bounce"]
        assert commanded("analyse", folder, "--json").returncode == 0

    def test_compare_says_that_there_are_no_runs(self, folder: Path) -> None:
        done = commanded("compare", folder)
        assert (done.returncode, done.stdout) == (2, "")
        assert "found no runs; expected runs of two setups" in done.stderr

    def test_a_slow_logger_takes_the_low_pass_down(self, tmp_path: Path) -> None:
        folder = make_setup_day(tmp_path)
        for log in folder.glob("*.csv"):
            head, *rows = log.read_text(encoding="ascii").splitlines()
            log.write_text("\n".join([head, *rows[::5]]) + "\n", encoding="ascii")
        found = of(folder)
        assert found.conditioning["cutoff_hz"] == pytest.approx(0.4 * RATE_HZ / 5)
        assert SAG["front"] in said(found)


def test_runs_that_cant_be_used_hide_no_recording(tmp_path: Path) -> None:
    folder = make_setup_day(tmp_path, ("a",))
    (folder / "run_1.csv").write_text("t_ms,A0,A1\n" + "".join(f"{n * 4},900,1100\n" for n in range(800)))
    done, report = commanded("analyse", folder), tmp_path / "report.html"
    assert done.returncode == 2
    assert "no usable run" in done.stderr
    assert SAG["front"] in done.stdout
    assert commanded("report", folder, "--out", report).returncode == 2
    assert "How does it sit?" in report.read_text(encoding="utf-8")


class TestWhatFrictionMakesOfIt:
    def test_the_band_of_the_same_load_is_taken_first(self, tmp_path: Path) -> None:
        more = "".join(
            f'[[static]]\nlog = "seated_{way}.csv"\nkind = "settle"\nsetup = "a"\nload = "standing"\nfrom = "{way}"\n'
            for way in ("compressed", "extended")
        )
        folder = make_setup_day(tmp_path, extra=more)
        for way, level in (("compressed", 50.0), ("extended", 44.0)):
            write_log(folder / f"seated_{way}.csv", np.full(1500, level), np.full(1500, level / 2.5))
        assert "26.9 % (43 mm), ± 3.0 mm" in said(of(folder))

    def test_without_a_band_or_a_zero_that_is_said(self, tmp_path: Path) -> None:
        folder = make_setup_day(tmp_path)
        rewritten(folder, 'from = "extended"', 'from = "compressed"')
        rewritten(folder, '[[static]]\nlog = "lifted_1.csv"\nkind = "lifted"\n', "")
        found = of(folder)
        assert sitting_notes(found) == (NO_BAND, NOT_LIFTED)
        table = sitting_table(found)
        assert table is not None
        assert table.rows[-1] == ("Zero found", "", "as calibrated", "as calibrated", "")
        (told,) = [finding for item in found.static for finding in item.findings if finding.code == "one_sided"]
        assert "record" in told.message
        assert "from extended" in told.message

    def test_sag_let_go_from_both_sides_is_their_mean_without_a_band(self, tmp_path: Path) -> None:
        folder = make_setup_day(tmp_path)
        rewritten(folder, 'load = "standing"\n', 'load = "standing"\nfrom = "compressed"\n')
        other = '[[static]]\nlog = "sag_2.csv"\nkind = "sag"\nsetup = "a"\nload = "standing"\nfrom = "extended"\n'
        rewritten(folder, '[[static]]\nlog = "bounce_1.csv"', other + '[[static]]\nlog = "bounce_1.csv"')
        write_log(folder / "sag_2.csv", np.full(1500, ZERO_MM + 35.0), np.full(1500, ZERO_STROKE_MM + 18.0))
        found = of(folder)
        assert "24.4 % (39 mm)" in said(found)
        assert sitting_notes(found) == (OF_BOTH,)

    def test_a_recording_without_a_setup_goes_with_the_first(self, tmp_path: Path) -> None:
        folder = make_setup_day(tmp_path)
        rewritten(folder, 'kind = "sag"\nsetup = "a"\n', 'kind = "sag"\n')
        assert SAG["front"] in said(of(folder))


class TestBadRecordings:
    @pytest.mark.parametrize(("apart_mm", "told"), [(0.98, False), (1.02, True)])
    @pytest.mark.parametrize("kind", ["sag_1", "settle_1"])
    def test_one_that_moves_is_told(self, tmp_path: Path, kind: str, apart_mm: float, *, told: bool) -> None:
        folder = make_setup_day(tmp_path)
        swaying = 45.0 + apart_mm * REST_MM * (np.arange(1500) // 60 % 2)
        write_log(folder / f"{kind}.csv", swaying, np.full(1500, 20.0))
        codes = [
            (item.entry.log.stem, one.end)
            for item in of(folder).static
            for one in item.findings
            if one.code == "not_at_rest"
        ]
        assert codes == ([(kind, "front")] if told else [])

    def test_one_with_an_error_gives_no_value_and_is_told_by_check(self, tmp_path: Path) -> None:
        folder = make_setup_day(tmp_path)
        write_log(folder / "lifted_1.csv", np.linspace(0, 60, 1500), np.linspace(0, 20, 1500))
        done = commanded("check", folder)
        assert done.returncode == 0
        assert "lifted_1.csv (lifted): record again" in done.stdout
        assert "as calibrated" in done.stdout
        assert NOT_LIFTED in done.stdout


def test_a_report_of_runs_shows_how_it_sits_too(tmp_path: Path) -> None:
    page = render_report(*report_parts(telemetry.read_ride_day(make_setup_day(tmp_path, ("a",)))))
    assert "<h2>How does it sit?</h2>" in page
    assert "Sag, rider standing" in page
