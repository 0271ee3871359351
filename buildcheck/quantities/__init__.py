"""Named quantities: how each is computed from a build's facts. The table is in ``table``."""
