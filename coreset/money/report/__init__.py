"""What the money room says: sentences, tables, workings, sheet."""
