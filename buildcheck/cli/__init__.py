"""The command line: the only code that writes to the streams."""
