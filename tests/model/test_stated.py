"""What is stated is looked up quickly: its hash is worked out once, and travels nowhere."""

from __future__ import annotations

import copy
import pickle

from longpoint.model.reading import parse_batch

TEXT = '[[work]]\nname = "a"\nwidth = 500\nheight = 400\n'


def test_a_hash_is_kept_where_it_was_made_and_nowhere_else() -> None:
    batch, twin = parse_batch(TEXT), parse_batch(TEXT)
    made = hash(batch)
    assert batch._hash == made == hash(twin) and batch == twin
    # Words hash otherwise in another process, and a changed copy is another batch.
    for other in (
        pickle.loads(pickle.dumps(batch)),
        copy.copy(batch),
        batch.model_copy(update={"title": "b"}),
    ):
        assert not hasattr(other, "_hash")
    changed = batch.model_copy(update={"title": "b"})
    assert changed != batch and hash(changed) != made
    assert "_hash" not in batch.model_dump() and batch == copy.copy(batch)


def test_every_field_counts() -> None:
    batch = parse_batch(TEXT)
    wider = batch.work[0].model_copy(update={"width": batch.work[0].width + 1})
    assert hash(wider) != hash(batch.work[0])
    assert hash(batch.model_copy(update={"work": (wider,)})) != hash(batch)
