"""What to do next at the bench, and what a change of parts would do."""
