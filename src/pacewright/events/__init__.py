"""What can happen in the works, one class an event, and the fold to where everything stands."""
