"""`python -m glint` is the command `glint`."""

from glint.cli import main

if __name__ == "__main__":
    main()
