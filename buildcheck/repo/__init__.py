"""Where files come from: disk, commit and repository; which builds a change affects."""
