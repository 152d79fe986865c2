"""The kitchen plan of a season: from a household's fruit, wants and days, and back to people."""
