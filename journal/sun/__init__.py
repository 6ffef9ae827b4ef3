"""The sun over a place: its position, its rise and set, and the length of the day."""
