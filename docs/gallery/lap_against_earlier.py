"""What did this lap do that an earlier one of the same setup didn't? Both laps' measures beside each other."""

import telemetry

analysis = telemetry.analyse(telemetry.read_ride_day("sample_runs/lower_leg_oil"))
this = analysis.runs[-1].entry
earlier = next(run.entry for run in reversed(analysis.runs[:-1]) if run.entry.setup == this.setup)
asked = ["dynamic_sag", "hit_depth_10_per_min", "hits_per_min", "compression_speed_10_per_min"]
rows = analysis.measures[analysis.measures.measure.isin(asked)]
laps = rows.pivot(index=["measure", "end", "unit"], columns="run", values="value")[[earlier.name, this.name]]
laps["difference"] = laps[this.name] - laps[earlier.name]
print(f"both laps: {this.setup}; two laps tell no change from chance, `telemetry compare` does")
print(laps.round(2).to_string())
