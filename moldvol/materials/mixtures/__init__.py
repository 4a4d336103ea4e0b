"""What is mixed by rules of its own: filled resin, foam, plaster, laminate."""
