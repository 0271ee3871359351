"""Rules, limits and concessions, and what they make of a build."""
