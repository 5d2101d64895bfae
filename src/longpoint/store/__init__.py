"""The store: the rack and the build book, kept in a database.

A journal of events is the truth of the rack; what is there now follows from it and is checked against it. Ticks and
measured values are only added. One transaction a wish: `Store.reading` and `Store.writing` give a `Desk`, and every
function takes one.
"""

from longpoint.store.faults import ConflictError
from longpoint.store.opening import Desk, Store, open_store
from longpoint.store.place import Place, place_of

__all__ = ["ConflictError", "Desk", "Place", "Store", "open_store", "place_of"]
