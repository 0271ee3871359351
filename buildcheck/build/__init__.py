"""A build folder as read: parts, facts, trials, length conventions."""
