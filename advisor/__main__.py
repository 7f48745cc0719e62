"""Entry point: nothing is imported here but the command line."""

import sys

from advisor.cli import main

if __name__ == "__main__":
    sys.exit(main())
