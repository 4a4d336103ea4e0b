"""Ratios on real scales: what a scale can show, what stays in the cup, and how far off a mix may be."""
