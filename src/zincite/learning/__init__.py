"""Measured results -> better parameters: a laboratory's own posterior, checked and scored."""
