"""Accounts, sessions and tokens: kept beside the record, in a database file of their own."""
