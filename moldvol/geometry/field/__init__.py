"""The field room: exact distances on a grid, and all that is read from them: shells, reach, pockets, plugs."""
