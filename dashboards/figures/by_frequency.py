"""What is passed on to the chassis, and what a hard hit does, by frequency: a line a setup, a band its runs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from dashboards.theme import SetupStyle, bare_figure, name_axes, ticks, zero_line
from telemetry.model.curves import Spectrum
from telemetry.model.finding import End
from telemetry.sheet import ABSENT, table
from telemetry.telling.names import TITLES
from telemetry.words import figure as number

from .bands import Array, Band, band_with_gaps, draw_band
from .drawn import Drawn

HEIGHT = 210
FREQUENCY_TICKS = (1, 2, 5, 10, 20, 50, 100)


@dataclass(frozen=True, slots=True, kw_only=True)
class ByFrequency:
    """What a figure by frequency shows.

    Attributes
    ----------
    title : str
        What stands above it beside the end's name.
    up : str
        Beside the upright axis, with its unit.
    unit : str
        Behind a number.
    digits : int
    levels : tuple of float
        Ticks of the upright axis.
    as_much : bool
        Whether a line at 1 says that as much comes as goes.
    """

    title: str
    up: str
    unit: str
    digits: int
    levels: tuple[float, ...]
    as_much: bool = False


PASSED_ON = ByFrequency(
    title="wheel to chassis",
    up="chassis over wheel",
    unit="",
    digits=2,
    levels=(0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1, 2, 5),
    as_much=True,
)
SHOCK = ByFrequency(
    title="ten hardest hits",
    up="response, m/s²",
    unit="m/s²",
    digits=0,
    levels=(1, 2, 5, 10, 20, 50, 100, 200, 500, 1000),
)


def _band(spectra: Sequence[Spectrum], frequency_hz: Array) -> Band:
    """Return the band of runs over these frequencies; a gap where no run tells any."""
    found = np.full((len(spectra), frequency_hz.size), np.nan)
    for row, spectrum in zip(found, spectra, strict=True):
        places = np.searchsorted(frequency_hz, spectrum.frequency_hz * (1 - 1e-9))
        row[places] = spectrum.value
    return band_with_gaps(frequency_hz, found, found, found)


Spectra: TypeAlias = Mapping[str, Sequence[Spectrum]]
"""Of each setup, a run each; at least one."""


def by_frequency(
    what: ByFrequency, spectra_at: Mapping[End, Spectra], styles: Mapping[str, SetupStyle]
) -> tuple[Drawn, ...]:
    """Return figures by thirds of an octave, an end each, all axes stretched and alike.

    Parameters
    ----------
    what : ByFrequency
    spectra_at : mapping of end to Spectra
    styles : mapping of setup to SetupStyle
    """
    every = [spectrum for spectra in spectra_at.values() for runs in spectra.values() for spectrum in runs]
    if not every:
        return ()
    frequency_hz = np.unique(np.concatenate([spectrum.frequency_hz for spectrum in every]))
    value = np.concatenate([spectrum.value for spectrum in every])
    across = (float(frequency_hz[0]) / 1.1, float(frequency_hz[-1]) * 1.1)
    up = (float(np.nanmin(value)) / 1.3, float(np.nanmax(value)) * 1.3)
    return tuple(
        _at_an_end(what, {name: _band(runs, frequency_hz) for name, runs in spectra.items()}, styles, end, across, up)
        for end, spectra in spectra_at.items()
    )


def _at_an_end(
    what: ByFrequency,
    bands: Mapping[str, Band],
    styles: Mapping[str, SetupStyle],
    end: End,
    across: tuple[float, float],
    up: tuple[float, float],
) -> Drawn:
    frequency_hz = next(iter(bands.values())).grid
    plot = bare_figure(HEIGHT, x_range=across, y_range=up, x_axis_type="log", y_axis_type="log")
    name_axes(plot, "frequency, Hz", what.up)
    ticks(plot.xaxis[0], FREQUENCY_TICKS, {at: f"{at:g}" for at in FREQUENCY_TICKS})
    ticks(plot.yaxis[0], what.levels, {at: f"{at:g}" for at in what.levels})
    if what.as_much:
        zero_line(plot, 1.0, "width")
    for name, band in bands.items():
        draw_band(plot, band, styles[name])
    rows = [
        [f"{frequency:.3g} Hz", *(_cell(float(band.mean[place]), what) for band in bands.values())]
        for place, frequency in enumerate(frequency_hz.tolist())
        if not all(np.isnan(band.mean[place]) for band in bands.values())
    ]
    middle = rows[len(rows) // 2]
    told = "; ".join(f"{styles[name].label} {cell}" for name, cell in zip(bands, middle[1:], strict=True))
    return Drawn(
        place=end,
        plot=plot,
        alternative=f"{TITLES[end]}, {what.title} at {middle[0]}: {told}.",
        numbers=table(["frequency", *(styles[name].label for name in bands)], rows),
        title=what.title,
    )


def _cell(value: float, what: ByFrequency) -> str:
    return ABSENT if np.isnan(value) else f"{number(value, what.digits)} {what.unit}".rstrip()
