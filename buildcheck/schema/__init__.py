"""Holds files against their schemas, and tells what fields there are."""
