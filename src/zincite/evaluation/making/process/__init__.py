"""The process: heat, melting points, windows and scale."""
