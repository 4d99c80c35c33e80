"""What the study room says: sentences, tables, workings, sheet."""
