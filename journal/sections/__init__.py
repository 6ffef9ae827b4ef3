"""Sections of a page as HTML, one subject a module. The pages show them; the retrospective shows their figures."""
