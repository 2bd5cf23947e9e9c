"""What is left to pay at the least: priced cuts, their prices, and the linear programs behind them."""
