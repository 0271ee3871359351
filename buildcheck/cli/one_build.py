"""The one build that a command is about."""

from __future__ import annotations

import sys
from pathlib import Path

from buildcheck.app.build_check import CheckedBuild
from buildcheck.app.run import only_build, run
from buildcheck.output.text import problems


def readable_build(path: Path, what: str) -> CheckedBuild | None:
    """The build at a path, checked; None if it cannot be read: then its problems are printed.

    ``what`` the command makes of it. Raises UsageError where there is none or several.
    """
    done = run([path])
    if unreadable := problems(done):
        sys.stdout.write(unreadable)
        return None
    return only_build(done, what, path)
