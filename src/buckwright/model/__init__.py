"""Frozen facts: one file for each step's product. See `fact` for axes and arrays."""
