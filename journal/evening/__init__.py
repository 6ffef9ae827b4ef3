"""What the next day should hold: the sun, and what the calendar files say."""
