"""Validates files against their schemas, and lists the fields that the schemas define."""
