"""The compiled loops: one car over a trip, or many; they compile the laws of `physics` themselves and are the only importer of numba."""
