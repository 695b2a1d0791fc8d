"""Starts ``checking``, which says what it does."""

import sys

from checking import main

if __name__ == "__main__":
    sys.exit(main())
