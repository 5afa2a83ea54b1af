"""Ctrl-C while the server reads a day: an end like any other."""

from __future__ import annotations

import json
import time
from pathlib import Path
from urllib.request import urlopen

from tests.browser.served import PATIENCE_S, serving
from tests.pipeline.small_days import make_day


def test_ctrl_c_in_the_midst_of_reading_is_a_clean_end(tmp_path: Path) -> None:
    make_day(tmp_path / "day", ("a", "b", "b", "a"), seconds=100.0)
    for wait_s in (0.1, 0.25):
        with serving(tmp_path) as server:
            state = ""
            while state != "reading":
                if state == "ready":  # read between two looks: once more
                    urlopen(f"{server.link}again", data=b"day=day", timeout=PATIENCE_S).close()  # noqa: S310
                with urlopen(f"{server.link}news?day=day", timeout=PATIENCE_S) as answer:  # noqa: S310 - our own server
                    state = json.load(answer)["state"]
            time.sleep(wait_s)
            assert server.end() == 0
            assert server.lines == []
