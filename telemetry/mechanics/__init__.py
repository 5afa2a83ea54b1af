"""What the parts of a suspension do."""
