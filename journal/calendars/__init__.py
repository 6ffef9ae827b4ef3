"""Calendar files (RFC 5545) read as appointments on the journal's days."""
