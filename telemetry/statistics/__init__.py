"""Pure statistics beneath comparison and planning: differences of setups, counts, families, runs needed."""
