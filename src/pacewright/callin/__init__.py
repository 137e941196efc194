"""2 call-in: which vehicle comes in which week within its window."""
