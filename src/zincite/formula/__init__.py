"""Formulas, materials and briefs: domain objects, the library of cards, and their reading."""
