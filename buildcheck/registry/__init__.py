"""The table of named quantities, and the quantities that need an order."""
