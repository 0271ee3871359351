"""A run as a story: which builds, each checked, on all processors."""
