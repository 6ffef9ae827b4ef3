"""Attacks of another user of the machine, of another port and of another site: `python -m tests.promises.strangers`."""
