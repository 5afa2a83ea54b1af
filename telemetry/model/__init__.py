"""Frozen data types that every stage shares; they hold and never compute a result."""
