"""``python -m buildcheck``."""

import sys

from buildcheck.cli import main

sys.exit(main())
