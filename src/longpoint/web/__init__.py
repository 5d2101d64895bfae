"""Pages over the wishes, for people with a browser: served from this machine to this machine.

The pages know batches, runs and ticks on disk and values that were told by a process apart (`apart`); they compute
nothing heavy themselves, so that they always answer.
"""
