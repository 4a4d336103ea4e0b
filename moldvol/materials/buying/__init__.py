"""What is in stock, and the cheapest packs for what is short."""
