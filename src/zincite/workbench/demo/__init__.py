"""The demo's invented laboratory: its story, its instruments and the notebook that it fills."""
