"""Layouts of the notebook, one numbered migration each; a released one never changes."""
