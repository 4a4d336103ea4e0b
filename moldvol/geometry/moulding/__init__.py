"""The moulding room: what a mould asks of a shape: which way up, where air is caught, how full, where it parts."""
