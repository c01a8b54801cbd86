"""The place Requests: what was asked, by whom, by when, and what holds it; raising and accepting."""
