"""`python -m buckwright` is the command `buckwright`."""

import sys

from buckwright.cli import main

if __name__ == "__main__":
    sys.exit(main())
