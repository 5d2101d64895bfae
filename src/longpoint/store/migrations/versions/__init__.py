"""The steps of the chain, up and down.

Each is frozen history: it names its columns itself, even where another step or `longpoint.store.tables` names the
like, so that a later change of those never changes what an old store becomes.
"""
