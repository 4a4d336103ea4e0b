"""Joins geometry and materials: how much of what, in which pots. Knows nothing of screens."""
