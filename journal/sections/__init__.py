"""Sections of a page as HTML, one subject a module. The pages and the retrospective show the same ones."""
