"""One build as read: its files with their parts, its facts, trials and length conventions."""
