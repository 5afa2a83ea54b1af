"""A row of units under the names, however the two compare in length."""

from __future__ import annotations

from pathlib import Path

import pytest

from telemetry.logs import read_log
from telemetry.model.day import LogOptions

ROWS = [f"{place * 4},{1000 + place % 7},{2000 + place % 5},{9.5 + place % 3}" for place in range(200)]


@pytest.mark.parametrize(
    "units",
    [
        "[ms],[count],[count],[m/s]",
        "(ms),(count),(count),(m/s)",
        "ms,counts,counts,km/h",
        "ms,mm,V,m/s",
        "[ms],,,[m/s]",
        "ms,digits,digits,m/s",
    ],
)
@pytest.mark.parametrize("names", ["ms,A0,A1,v", "time,fork,shock,speed over ground"])
def test_the_names_stand_above_it(tmp_path: Path, names: str, units: str) -> None:
    path = tmp_path / "run.csv"
    path.write_text("\n".join([names, units, *ROWS]) + "\n")
    _, front, rear, _ = names.split(",")
    log = read_log(path, needed=(front, rear), options=LogOptions())
    assert log.rate_hz == pytest.approx(250.0)
    assert log.first_row == 3
    assert log.columns[front][:3].tolist() == [1000, 1001, 1002]
    assert log.columns[rear].shape == (200,)


@pytest.mark.parametrize("junk", ["logger,bike,rider,day", "made by,a workshop,of long,names"])
def test_a_row_of_words_above_the_names_is_no_header(tmp_path: Path, junk: str) -> None:
    path = tmp_path / "run.csv"
    path.write_text("\n".join([junk, "ms,A0,A1,v", *ROWS]) + "\n")
    log = read_log(path, needed=("A0", "A1"), options=LogOptions())
    assert log.first_row == 3
    assert log.columns["A1"].shape == (200,)
