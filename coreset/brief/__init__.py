"""What leaves the tool: two-page brief, long form, JSON, data set, workbook, all charts."""
