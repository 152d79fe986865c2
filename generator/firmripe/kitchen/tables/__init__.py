"""What is looked up for the kitchen, of no day and no season: processes, amounts, times of pots, work, methods."""
