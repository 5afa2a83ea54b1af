"""The table of log layouts: what the handbook shows of them and what the tests hold to it."""

from __future__ import annotations

from collections.abc import Mapping

from tests.layouts.cells import CELLS, REFUSED
from tests.layouts.clocks import CLOCKS
from tests.layouts.forms import FORMS
from tests.layouts.inertial import INERTIAL
from tests.layouts.layout import Layout
from tests.layouts.readings import READINGS

TABLE: Mapping[str, tuple[Layout, ...]] = {
    "How cells and lines are written": CELLS,
    "How time is written": CLOCKS,
    "Lines that aren't bare cells, and several files": FORMS,
    "What is read at the ends, and what stands beside": READINGS,
    "Inertial sensors by themselves": INERTIAL,
}
NOT_READ: Mapping[str, tuple[Layout, ...]] = {"What is refused": REFUSED}
LAYOUTS: tuple[Layout, ...] = tuple(layout for rows in TABLE.values() for layout in rows)
