"""Sample masters and moulds of our own, modelled as distance functions; `make_samples` writes them."""
