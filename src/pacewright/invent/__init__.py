"""Invented works of any size, for trials and benchmarks."""
