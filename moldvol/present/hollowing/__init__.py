"""How hollow casts are told: coats, the curve of walls, the cut, and ways side by side."""
