"""What devices do to pigment: energy, aggregates, coating, and what a change does."""
