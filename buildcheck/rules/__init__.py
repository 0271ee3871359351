"""Rules, limits and concessions: loaded, checked and applied to a build's quantities."""
