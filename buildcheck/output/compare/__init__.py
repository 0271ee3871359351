"""What a change changed: two states of a repository held against each other."""
