"""Parts that pages share: layout, forms, results, tables as text."""
