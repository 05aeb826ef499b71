"""`python -m putback` is `putback`."""

import sys

from putback.cli import main

sys.exit(main())
