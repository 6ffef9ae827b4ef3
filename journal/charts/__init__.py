"""Turn frames into figures: a title, a drawing, a text alternative and a table. No statistics are computed here."""
