"""zincite: a formulation workbench for mineral sunscreens."""
