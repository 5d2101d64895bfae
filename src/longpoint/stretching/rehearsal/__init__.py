"""The stretching rehearsed: orders, staples, cloth that goes slack, what is left, and a better order."""
