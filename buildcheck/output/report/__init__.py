"""The Markdown report that a reviewer reads in a pull request."""
