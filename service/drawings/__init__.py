"""Sheets a reviewer and a crew read, drawn from a report alone."""
