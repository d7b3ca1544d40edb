"""A second implementation of the model page in both its editions, written from that page alone."""
