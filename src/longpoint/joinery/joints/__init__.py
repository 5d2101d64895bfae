"""Joints: which parts meet, what holds them, where their glued faces and small pieces are."""
