"""Formulas, materials and briefs: frozen domain objects, the library of cards, and their reading."""
