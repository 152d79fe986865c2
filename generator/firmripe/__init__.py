"""Firmripe: from a household's notes about its fruit to a dated site and calendar feed."""

__version__ = "0.1.0"
