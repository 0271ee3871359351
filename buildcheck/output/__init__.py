"""Writers of results, one per module: each turns a run into text and writes nothing itself."""
