"""Plain files and workbooks <-> works; every fault with file, row and column."""
