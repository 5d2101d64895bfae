"""Sheets as plain marks in mm; no file format."""
