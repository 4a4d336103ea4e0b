"""Density, ratio, pot life, price, scales: what a material is. Knows nothing of meshes."""
