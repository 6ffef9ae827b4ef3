"""The chapters of a year, a module a subject: `Subject` -> the blocks of a chapter, none where there is no content."""
