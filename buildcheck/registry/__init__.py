"""The table of named quantities, and those that need an order."""
