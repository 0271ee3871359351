"""The lengths that each valve allows, and the fewest stock lengths that serve all valves."""
