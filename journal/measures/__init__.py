"""Frames to frames, pure polars, one subject a module. No clock, no folder, no settings: everything is an argument."""
