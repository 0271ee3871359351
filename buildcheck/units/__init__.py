"""Physical quantities as builders write them, their units, and how they are shown."""
