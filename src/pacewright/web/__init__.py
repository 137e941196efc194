"""Pages and REST over the office; the one folder that knows the web library."""
