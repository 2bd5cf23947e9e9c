"""Planning on from where a job stands, on either way."""
