"""The server of the pages, its access control, and what the notebooks share: parameters, controls and forms."""
