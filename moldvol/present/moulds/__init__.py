"""How moulds are told, those to make and those to fill."""
