"""Runs every hostile test, and the random ones at length: ``python tests/fuzz.py [EXAMPLES]``, 5000 when left out."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

HOSTILE = Path(__file__).parent / "hostile"


def main() -> int:
    """The exit code of pytest."""
    examples = sys.argv[1] if len(sys.argv) > 1 else "5000"
    command = [sys.executable, "-m", "pytest", "--hypothesis-show-statistics", str(HOSTILE)]
    return subprocess.run(command, env={**os.environ, "FUZZ_EXAMPLES": examples}, check=False).returncode


if __name__ == "__main__":
    sys.exit(main())
