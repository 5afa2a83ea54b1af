"""A simulated bike on a simulated trail, with the truth beside its logs."""
