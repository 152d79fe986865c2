"""What the harvest remarks, in words."""
