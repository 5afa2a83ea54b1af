"""The ``ride_day.toml`` of an invented day."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tests.plain.made_days import MadeTable, Maker


def log_lines(maker: Maker) -> list[str]:
    """Return the [log] table: what a reader can't find out, and at times what it could."""
    layout, lines = maker.layout, ["[log]"]
    if layout.time_unit is None:
        lines.append(f"rate_hz = {maker.base_hz:g}")
    elif not layout.header or maker.rng.random() < 0.7:
        lines.append(f'time = {{ column = {layout.time_column()}, unit = "{layout.time_unit}" }}')
    if not layout.header:
        lines.append("header_row = 0")
    if layout.header and maker.rng.random() < 0.3:
        lines.append(f"header_row = {len(layout.junk) + 1}")
    if layout.delimiter != " " and maker.rng.random() < 0.3:
        lines += [f"delimiter = {layout.delimiter!r}".replace("'", '"'), f'decimal = "{layout.decimal}"']
    return lines if len(lines) > 1 else []


def sensor_lines(maker: Maker) -> list[str]:
    lines = []
    for name, made in maker.ends.items():
        lines += [f"[sensors.{name}_pot]", 'kind = "displacement"', f'end = "{name}"']
        lines += [f"column = {maker.layout.column(name)}", *made.sensor_lines]
    if maker.ground:
        unit = "km/h" if maker.kmh else "m/s"
        lines += ["[sensors.wheel]", 'kind = "ground_speed"', f"column = {maker.layout.column('ground')}"]
        lines.append(f'unit = "{unit}"')
    return lines


def setup_lines(maker: Maker) -> list[str]:
    lines = ["[setups.first]", 'label = "as it came"']
    for name, made in maker.ends.items():
        lines += [f"[setups.first.{name}]", *made.setup_lines]
        lines.append("rebound = { clicks_from_closed = 6, of = 14 }")
    lines += ["[setups.second]", 'based_on = "first"', "[setups.second.front]"]
    return [*lines, "rebound = { clicks_from_closed = 9, of = 14 }"]


def run_lines(maker: Maker, tables: list[MadeTable], lifted: dict[int, MadeTable]) -> list[str]:
    lines = []
    for number, table in enumerate(tables, start=1):
        lines += ["[[runs]]", f'log = "run_{number}{maker.layout.suffix}"']
        lines.append(f'setup = "{("first", "second")[number - 1]}"')
        if table.start_s is not None:
            lines += [f"start_s = {table.start_s}", f"end_s = {table.end_s}"]
    for number in lifted:
        lines += ["[[static]]", f'log = "lifted_{number}{maker.layout.suffix}"', 'kind = "lifted"']
        lines += [f'setup = "{("first", "second")[number - 1]}"', f'before_run = "run_{number}"']
    return lines


def day_toml(maker: Maker, tables: list[MadeTable], lifted: dict[int, MadeTable]) -> str:
    """Return the whole file."""
    lines = ["[ride_day]", 'title = "Invented"', "date = 2026-05-16"]
    if maker.imperial:
        lines.append("rider_mass_lb = 185")
    lines += ["[bike]", 'name = "Invented bike"']
    if maker.has_wheelbase:
        lines.append(maker.wheelbase_line)
    if maker.has_head:
        lines.append(f"head_angle_deg = {maker.head_deg}")
    for name, made in maker.ends.items():
        lines += [f"[bike.{name}]", *made.bike_lines]
    lines += [*log_lines(maker), *sensor_lines(maker), *setup_lines(maker), *run_lines(maker, tables, lifted)]
    return "\n".join(lines) + "\n"
