"""The notebook as plain tables: a column's name with its unit, and its values in order."""
