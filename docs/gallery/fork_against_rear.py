"""Is the fork or the rear hit faster? How often a minute either is hit faster than each speed at the wheel."""

import pandas as pd

import telemetry

analysis = telemetry.analyse(telemetry.read_ride_day("sample_runs/lower_leg_oil"))
minutes = sum(run.value("riding_time", "both") for run in analysis.runs) / 60
hits = analysis.hits()
rates = {
    f"{speed_m_s} m/s": hits[hits.peak_wheel_mm_s > 1000 * speed_m_s].groupby("end").size() / minutes
    for speed_m_s in (0.5, 1.0, 2.0, 3.0)
}
print("hits a minute, faster than")
print(pd.DataFrame(rates).fillna(0.0).round(1).to_string())
