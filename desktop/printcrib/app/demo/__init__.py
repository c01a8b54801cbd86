"""A shop of our own invention: set up, lived for three weeks, and one whole story told in it."""
