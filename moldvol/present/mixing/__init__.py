"""How what the bench asks without a mesh is told: weigh-out, pots, stock, foam, plaster, laminate, the pour book."""
