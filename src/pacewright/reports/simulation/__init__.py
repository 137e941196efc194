"""The chapter on the works run through, one module a part; each reads the forecast alone."""
