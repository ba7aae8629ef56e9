"""The kinds of surfaces that rooms are made of, a file each."""
