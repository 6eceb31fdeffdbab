"""Making: what dispersion, chemistry, emulsion and process do, each judged with its grounds."""
