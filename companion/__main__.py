"""`python -m companion` is the command `companion`."""

import sys

from companion.cli.main import main

sys.exit(main())
