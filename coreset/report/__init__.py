"""Numbers, blocks, tables, PDF, HTML and sheets of a workbook: forms without a subject."""
