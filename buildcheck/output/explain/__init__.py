"""Explanations of a rule, a quantity, a field or a stage, one kind per module."""
