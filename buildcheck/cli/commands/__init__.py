"""The commands, one a module: ``arguments`` declares its options, ``run`` does it and gives the exit code."""
