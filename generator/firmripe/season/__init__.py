"""When things happen: from the holding to the days of the season."""
