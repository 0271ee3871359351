"""Reads a YAML file into nodes that know their place."""
