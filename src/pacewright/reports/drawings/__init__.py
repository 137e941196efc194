"""Drawings in SVG, one kind a module; they know numbers and words, not plans."""
