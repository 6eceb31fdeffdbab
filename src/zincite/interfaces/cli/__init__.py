"""Room interfaces/cli."""
