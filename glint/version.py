"""The version of glint, which pictures and pages carry."""

VERSION = "0.1.0"
