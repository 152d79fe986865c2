"""Remarks in words: one module for each room that makes remarks."""

from firmripe.wording import calendar, clock, harvest, holding, kitchen, minutes, names, season, warmth
from firmripe.wording.remarks import words_of

__all__ = ["calendar", "clock", "harvest", "holding", "kitchen", "minutes", "names", "season", "warmth", "words_of"]
