"""The frame as a thing: bars, rails and middle pieces in space, and the finished parts they become."""
