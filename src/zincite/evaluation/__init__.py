"""Room evaluation."""
