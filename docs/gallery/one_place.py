"""What happens at one place, over all runs? Every hit within a second and a half after a mark of the day."""

import telemetry

PLACE, WITHIN_S = "two tables", 1.5
analysis = telemetry.analyse(telemetry.read_ride_day("sample_runs/longer_link"))
hits = analysis.hits()
there = hits[(hits.place == PLACE) & hits.from_place_s.between(0.0, WITHIN_S)]
hardest = there.loc[there.groupby(["setup", "run", "end"]).depth_percent.idxmax()]
print(f"deepest hit at {PLACE!r}")
print(hardest[["setup", "run", "end", "depth_percent", "depth_mm", "peak_wheel_mm_s"]].round(1).to_string(index=False))
