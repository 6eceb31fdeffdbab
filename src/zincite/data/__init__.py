"""Room data."""
