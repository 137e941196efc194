"""Keeps events for good, in order: SQLite or PostgreSQL."""
