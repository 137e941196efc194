"""Pacewright: the planner's tool for a works that overhauls a standardised fleet."""

__version__ = "0.1.0"
