"""The next step at the bench, and the effect of a change of parts."""
