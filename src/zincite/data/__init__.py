"""Facts only: tables with source, unit and validity range, and the functions that read them.

Each data file begins with a '# source:' line whose keys resolve through
`zincite.data.provenance.sources`.
"""
