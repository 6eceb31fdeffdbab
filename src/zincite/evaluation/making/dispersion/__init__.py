"""The dispersion bench: surfaces, dispersant, mill bases, ladders and wet points."""
