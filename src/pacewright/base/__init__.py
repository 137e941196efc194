"""Words every folder may use: faults, calendar, columns, settings."""
