"""Room workbench."""
