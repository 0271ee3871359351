"""One check from the files to sorted results, and a run over all builds on all processors."""
