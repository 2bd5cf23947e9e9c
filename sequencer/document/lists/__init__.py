"""What to buy and what to lay out, as rows."""
