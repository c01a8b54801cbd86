"""The unit a model file was drawn in. No Qt."""

MM, INCH = "mm", "inch"
UNIT_CHOICES = ((MM, "mm"), (INCH, "inch"))
UNIT_SCALES = {MM: 1.0, INCH: 25.4}
"""What a model's numbers are times to be millimetres; an inch is 25.4 mm exactly (NIST SP 811)."""
