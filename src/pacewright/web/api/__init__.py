"""REST beyond the sheets: events read and booked, kinds told, the plan; one shape each way."""
