"""A second implementation of the model page (docs/model.md), written from that page alone."""
