"""Plain files and workbooks <-> works; every fault with file, row and column."""

from pacewright.files.read import read_works
from pacewright.files.whole import NotOursError, write_whole
from pacewright.files.write import write_workbook, write_works

__all__ = ["NotOursError", "read_works", "write_whole", "write_workbook", "write_works"]
