"""Tasks on the days of the season: dated entries."""
