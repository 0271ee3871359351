"""What each valve allows, and the fewest lengths that serve all."""
