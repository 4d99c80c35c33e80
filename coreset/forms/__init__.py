"""Form fields, typed values and edits of a case, checked by the rules of its files."""
