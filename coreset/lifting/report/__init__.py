"""What the lifting room says: sentences, tables, workings, sheet."""
