"""longpoint plans painting supports: frames, cutting, cloth, building, and the sheets for the bench."""

__version__ = "0.1.0"
