"""The sun at a place: its position, sunrise and sunset, and the length of the day."""
