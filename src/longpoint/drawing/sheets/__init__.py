"""Sheets: what stands on each page of the packs, made of drawings and words."""
