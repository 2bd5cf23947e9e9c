"""What to buy and what to lay out, as rows: for a table, a spreadsheet, a page."""
