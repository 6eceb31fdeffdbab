"""Files that a notebook's tables leave it in: workbook, delimited text, JSON."""
