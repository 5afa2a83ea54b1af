"""Pages and reports made of analyses and comparisons; this package imports telemetry, never the other way."""
