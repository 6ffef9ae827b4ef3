"""Sheets of paper as data, and their photographs."""
