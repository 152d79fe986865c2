"""Remarks in words: one module for each room that makes remarks."""

from firmripe.wording import calendar, harvest, kitchen, season, warmth
from firmripe.wording.remarks import words_of

__all__ = ["calendar", "harvest", "kitchen", "season", "warmth", "words_of"]
