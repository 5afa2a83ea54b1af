"""Every layout of the table is read right, by its draft or by what the table says, and what it leaves open is asked."""

import re
from collections import Counter
from pathlib import Path

import pytest

import telemetry
from tests.layouts.cells import REFUSED
from tests.layouts.layout import Layout
from tests.layouts.page import PAGE, page_text
from tests.layouts.reading import answered, drafted, measured, truth_of
from tests.layouts.table import LAYOUTS, NOT_READ, TABLE

SHARE, SPEED_SHARE = 0.001, 0.005
"""By so much a measure may differ from that of the plain wide log, and one of speed."""
EACH = pytest.mark.parametrize("layout", LAYOUTS, ids=lambda layout: layout.name)


@EACH
def test_measures_are_those_of_the_plain_wide_log(layout: Layout, tmp_path: Path) -> None:
    draft, said = drafted(tmp_path, layout)
    if layout.asked:
        assert re.search(layout.asked, said), said
        with pytest.raises(telemetry.TelemetryError):
            measured(tmp_path, answered(draft, layout, written=False))
    found, true = measured(tmp_path, answered(draft, layout)), truth_of(layout)
    assert len(true) >= 6
    assert found.keys() == true.keys()
    apart = {
        at: (found[at], value)
        for at, value in true.items()
        if found[at] != pytest.approx(value, rel=SPEED_SHARE if "speed" in at[0] else SHARE, abs=1e-9)
    }
    assert apart == {}


@pytest.mark.parametrize("layout", REFUSED, ids=lambda layout: layout.name)
def test_what_cannot_be_read_right_is_refused_in_words(layout: Layout, tmp_path: Path) -> None:
    draft, said = drafted(tmp_path, layout)
    assert layout.asked in said
    with pytest.raises(telemetry.TelemetryError):
        measured(tmp_path, answered(draft, layout))


def test_names_tell_layouts_apart() -> None:
    assert [name for name, times in Counter(layout.name for layout in LAYOUTS).items() if times > 1] == []
    assert all(layout.name[0] not in "#`" and "\n" not in layout.name for layout in LAYOUTS)


def test_the_handbooks_page_is_the_tables() -> None:
    """Else: ``python -m tests.layouts.page``."""
    assert PAGE.read_text(encoding="utf-8") == page_text(TABLE, NOT_READ)
