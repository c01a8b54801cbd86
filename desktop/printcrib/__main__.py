"""`python -m printcrib`: the same as the installed command `printcrib`."""

import sys

from printcrib.app.start import main

if __name__ == "__main__":
    sys.exit(main())
