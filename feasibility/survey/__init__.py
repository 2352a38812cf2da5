"""What was seen on site, typed and validated."""
