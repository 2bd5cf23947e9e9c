"""Tables of the trade: kinds of joint, relations, heads, and what things are called."""
