"""Room interfaces/documents."""
