"""6: what is true today, what stands for want of what, what to do next."""
