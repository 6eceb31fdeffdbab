"""Questions that the notebook answers; each reads one state of it and changes nothing."""
