"""What the parts of a setup do, worked out from what was measured at the bench: one idea a file.

Each takes a setup and gives one part of its answer, or why it can't: a `Lacking` that names the key which would give
it.
`telemetry.pipeline.bench` puts them together into the `Bench` of `telemetry.model.bench`.
"""
