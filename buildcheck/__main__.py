"""``python -m buildcheck``."""

import sys

from buildcheck.cli.main import main

sys.exit(main())
