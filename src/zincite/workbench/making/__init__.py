"""Acts on the making of a formula: one function per question of the bench."""
