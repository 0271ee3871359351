"""The nouns that every package uses (place, problem, subject, value), and safe file access."""
