"""Papers that go with the vehicle and its parts, printed as PDF: one module a paper."""
