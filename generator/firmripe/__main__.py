"""Lets `python -m firmripe` do what `firmripe` does."""

from __future__ import annotations

from firmripe.cli import main

if __name__ == "__main__":
    main(prog_name="firmripe")
