"""Tables over kinds: no entry, no answer."""

from __future__ import annotations

import pytest

from reviewer.model import parts as p
from reviewer.network.kinds import UnknownKind, entry_of
from tests.analysis.small_aircraft import small


def test_an_entry_is_that_of_the_kind_itself_and_not_of_what_it_is_made_from() -> None:
    fuse = small().design.parts["charge-fuse"]
    assert entry_of({p.Fuse: 1}, fuse, "this test") == 1
    with pytest.raises(UnknownKind, match="this test does not know parts of kind fuse"):
        entry_of({p.Protector: 1}, fuse, "this test")
