"""`python -m coreset` is the command."""

import sys

from coreset.cli import main

sys.exit(main())
