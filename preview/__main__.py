"""Run the command line with ``python -m preview``."""

import sys

from preview.cli import main

sys.exit(main())
