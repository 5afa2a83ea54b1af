"""How long is each end deeper than half of its travel? The share of riding time, run by run, from the signals."""

import pandas as pd

import telemetry

HALF = 0.5
day = telemetry.read_ride_day("sample_runs/lower_leg_oil")
rows = []
for run in day.runs:
    ride = telemetry.load_ride(day, run.name)
    frame = ride.to_frame()
    ridden = frame[frame.riding]  # between start and end; the measures also leave out where it stands or is lifted
    for end, signal in ride.ends.items():
        deeper = ridden[f"{end}_travel_mm"] > HALF * signal.full_travel_mm
        rows.append({"run": run.name, "setup": run.setup, "end": end, "deeper, % of time": 100 * deeper.mean()})
print(pd.DataFrame(rows).pivot_table(index=["setup", "run"], columns="end").round(2).to_string())
