"""`python -m glint` is the command `glint`."""

import sys

if __name__ == "__main__" and not sys.flags.safe_path:
    # Python puts the current folder, which may be a stranger's, before all its own modules.
    del sys.path[0]

from glint.cli import program

if __name__ == "__main__":
    program()
