"""Where the copies of a run stand on the platform: side by side with a gap, turned by right angles."""
