"""The mould room: the rubber, box, jacket and air of a mould around a part."""
