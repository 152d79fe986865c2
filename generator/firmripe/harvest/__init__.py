"""After the pick: what becomes of the fruit, day by day."""
