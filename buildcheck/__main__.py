"""``python -m buildcheck``."""

import sys

from buildcheck.cli.main import program

sys.exit(program())
