"""`python -m zonewright`: the same as the command."""

import sys

from zonewright.cli import main

sys.exit(main())
