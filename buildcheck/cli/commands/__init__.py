"""The commands, one per module: ``arguments`` declares the options, ``run`` returns the exit code."""
