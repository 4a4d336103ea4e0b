"""Shelf files: the tables they may hold, and one sentence for what is wrong in them."""
