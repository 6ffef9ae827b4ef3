"""Frames to figures: a title that says what is shown, a drawing, its text alternative and its table. No arithmetic."""
