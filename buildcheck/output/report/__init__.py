"""The Markdown report: what a reviewer reads in a pull request."""
