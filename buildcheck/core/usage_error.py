"""The error for a command line that cannot be carried out."""


class UsageError(ValueError):
    """The call is wrong: nothing to check, or a path that does not exist."""
