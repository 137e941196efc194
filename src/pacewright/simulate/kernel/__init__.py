"""The compiled engine: the same flow as the plain one, row by row, at a hundred times its speed.

Every module here but ``pack`` and ``engine`` is compiled by numba, which the extra ``simulate``
brings; nothing outside imports this folder unless numba is there.
"""
