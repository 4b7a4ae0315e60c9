"""The liquor: equilibrium, activity, density and heat; the compiled kernels live here."""
