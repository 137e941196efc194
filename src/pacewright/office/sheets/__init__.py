"""What the pages show: one module a sheet, made from the desk; page, CSV and REST all use it."""
