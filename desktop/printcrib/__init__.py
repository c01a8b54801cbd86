"""Printcrib: the print desk of a CNC machine shop."""

__version__ = "0.1.0"
