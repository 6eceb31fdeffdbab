"""Room formula."""
