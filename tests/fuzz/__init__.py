"""Thousands of made-up scenes, meshes and lamp files: `python -m tests.fuzz --cases 10000`."""
