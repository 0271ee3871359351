"""Named quantities, each computed from a build's facts."""
