"""Physical values as builders write them, and as they are shown."""
