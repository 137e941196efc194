"""Shops, stages and routes, positions, trades, people, plant, standard hours."""
