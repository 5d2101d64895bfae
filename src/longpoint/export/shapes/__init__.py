"""Shapes for other machines: SVG, DXF, glTF, STEP."""
