"""Where files come from: the disk, a commit, the team's repository, and what differs between two states."""
