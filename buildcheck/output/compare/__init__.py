"""What a change changes: two revisions of a repository compared."""
