"""Plain files and workbooks <-> works; every fault with file, row and column."""

from pacewright.files.read import read_works

__all__ = ["read_works"]
