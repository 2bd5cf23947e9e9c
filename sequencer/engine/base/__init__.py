"""A fixed set of operations, what its order costs, and what can be fused in it: all methods work on that."""
