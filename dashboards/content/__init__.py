"""What pages and the report both say and show: words, tables and panels, gathered by question."""
