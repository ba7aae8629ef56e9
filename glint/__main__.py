"""`python -m glint` is the command `glint`."""

from glint.cli import program

if __name__ == "__main__":
    program()
