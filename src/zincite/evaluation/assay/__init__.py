"""Evaluation of laboratory tests by their standards."""
