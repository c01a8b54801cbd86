"""How the books grew: one step a file under versions/, run when a shop is opened."""

HEAD = "0007"
"""The newest step; a shop that is at it needs none."""
