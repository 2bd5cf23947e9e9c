"""The order of a fixed set of operations under rules about neighbouring steps."""
