"""A measured ride ridden again on paper: travel gives force, force the body's motion, both the ground beneath.

`telemetry.pipeline.predicting` puts it together. What imports `telemetry.dynamics` takes numba, the extra `simulate`.
"""
