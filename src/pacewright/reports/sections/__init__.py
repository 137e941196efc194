"""The sections of the page: each picks from the plan what its drawings and tables show."""
