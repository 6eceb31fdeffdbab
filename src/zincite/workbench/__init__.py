"""One function per act of the chemist: the layer that all interfaces call."""
