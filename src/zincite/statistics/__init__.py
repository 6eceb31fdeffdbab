"""Pure statistics on arrays; a sibling of physics, neither imports the other."""
