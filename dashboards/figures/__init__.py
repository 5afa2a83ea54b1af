"""Figures: one module each, plain data types in, a figure and its numbers out."""
