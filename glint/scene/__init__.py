"""The rig: a scene built, hung and aimed, and its light at any instant."""
