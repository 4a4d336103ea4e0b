"""How heat is told, in words, JSON and greys."""
