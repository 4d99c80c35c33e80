"""A case as a folder of plain files."""
