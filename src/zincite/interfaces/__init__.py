"""Room interfaces."""
