"""What a part in the way costs: two plans compared, many at once, and a floor that often settles it."""
