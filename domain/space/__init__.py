"""Where every piece and panel of one copy of an assembly stands, and what is cut out of it."""
