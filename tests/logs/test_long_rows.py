"""A log that writes one sensor a row is refused in words; no log with all of them in each row is."""

import numpy as np
import pytest

from telemetry.errors import LogError
from telemetry.logs import read_log
from telemetry.model.day import LogOptions

COUNT = 400
RNG = np.random.default_rng(5)
FORK = np.round(1500 + 300 * np.sin(np.arange(COUNT) * 0.05) + RNG.normal(0, 4, COUNT)).astype(int)
SHOCK = np.round(900 + 200 * np.sin(np.arange(COUNT) * 0.04) + RNG.normal(0, 4, COUNT)).astype(int)


def written(tmp_path, lines):
    path = tmp_path / "run.csv"
    path.write_text("\n".join(lines) + "\n")
    return path


@pytest.mark.parametrize("words", [("fork", "shock"), ("1", "2"), ("0x10", "0x11")])
@pytest.mark.parametrize("apart_ms", [0, 10])
@pytest.mark.parametrize("header", [True, False])
def test_a_sensor_a_row_is_refused_with_both_columns_named(words, apart_ms, header, tmp_path):
    rows = [
        f"{20 * at + apart_ms * own},{word},{(FORK, SHOCK)[own][at]}"
        for at in range(COUNT)
        for own, word in enumerate(words)
    ]
    path = written(tmp_path, [*(["t_ms,sensor,value"] if header else []), *rows])
    column, by = ("value", "'sensor'") if header else (3, "2")
    with pytest.raises(LogError, match=rf"several sensors by turns, told apart by column {by} \('{words[0]}', "):
        read_log(path, needed=[column], options=LogOptions())


@pytest.mark.parametrize("turns", [lambda at: at % 2, lambda at: at % 7, lambda at: ("a", "b")[at // 2 % 2]])
@pytest.mark.parametrize(
    "signal", [FORK, np.full(COUNT, 1500), RNG.normal(1500, 5, COUNT).round(), 1500 + np.arange(COUNT) % 2]
)
def test_a_column_that_turns_beside_a_sensor_accuses_nobody(turns, signal, tmp_path):
    path = written(tmp_path, ["t_ms,turn,fork", *(f"{5 * at},{turns(at)},{signal[at]}" for at in range(COUNT))])
    log = read_log(path, needed=["fork"], options=LogOptions())
    np.testing.assert_array_equal(log.columns["fork"], signal)
