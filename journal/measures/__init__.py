"""Functions from frames to frames in pure polars, one subject per module.

No function reads the clock, a file or the settings: every input is an argument.
"""
