"""The suspension telemetry analyser: logs in, measures, a like-for-like comparison and a report out."""
