"""Invented works of any size, for trials, lessons and measurements; nothing in them is real."""
