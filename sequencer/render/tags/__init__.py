"""Tags: one for each bag of fasteners, and pairs of labels for ends that could be mistaken."""
