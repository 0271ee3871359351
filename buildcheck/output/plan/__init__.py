"""The measuring plan: where to turn the crank, what to measure there, and the sheet for the bench."""
