"""Triangles, millimetres, distance: what a shape is. Knows nothing of resin, money, text or screens."""
