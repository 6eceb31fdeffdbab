"""The emulsion: phases, flow, drops, salt, settling and feel."""
