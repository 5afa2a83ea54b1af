"""How kept days, their versions and their files are called: by date, number and content."""

from __future__ import annotations

import re

SHA256 = re.compile(r"[0-9a-f]{64}")
DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}-[0-9a-f]{6,64}")
"""A day's id: its date and the first letters of its content's SHA-256."""
STEM = re.compile(rf"{DAY.pattern}\.[1-9][0-9]{{0,8}}")
"""A version: the day's id and its number."""
