"""Parsing of calendar files (RFC 5545) to appointments on the journal's days."""
