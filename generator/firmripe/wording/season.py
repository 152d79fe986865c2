"""What the season remarks, in words."""
