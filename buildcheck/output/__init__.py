"""Writers of results, one a module: each turns a run into text and writes nothing itself."""
