"""The chapters of a year, one topic a module: `YearData` -> the blocks of a chapter, empty without content."""
