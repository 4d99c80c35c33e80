"""What the line room says: sentences, tables, workings."""
