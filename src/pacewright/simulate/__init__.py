"""The works run through by events: what the plan does under chance."""
