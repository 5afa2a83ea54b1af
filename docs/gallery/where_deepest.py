"""Where does the fork go deepest, run after run? The section that holds each run's three deepest hits."""

import telemetry

analysis = telemetry.analyse(telemetry.read_ride_day("sample_runs/lower_leg_oil"))
hits = analysis.hits()
front = hits[hits.end == "front"]
deepest = front.sort_values("depth_percent", ascending=False).groupby("run").head(3)
columns = ["run", "setup", "section", "time_s", "depth_percent", "peak_wheel_mm_s", "bottomed"]
print(deepest.sort_values(["run", "time_s"])[columns].round(1).to_string(index=False))
