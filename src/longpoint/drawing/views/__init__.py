"""Drawings of things: frames, boards, cloth, joints, strength, each as marks to scale."""
