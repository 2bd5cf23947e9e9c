"""In which order and passes the bolts of a joint are tightened, and its picture."""
