"""Firmripe: from a household's notes about its fruit to a dated site and calendar feed."""

__version__ = "1.0.0"
