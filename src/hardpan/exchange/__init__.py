"""Doors for data: the plan as text, as one JSON object, as CSV and XLSX tables."""
