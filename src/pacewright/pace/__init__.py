"""3 pace: takt, positions, hours and plant that the programme asks of every shop."""
