"""Which step is which after a change."""

from __future__ import annotations

import pytest

from preview.forging.order import came_from


def kind(step):
    return step[0]


@pytest.mark.parametrize(
    ("before", "after", "expected"),
    [
        (["w1", "p9", "m1"], ["w1", "p9", "m1"], (0, 1, 2)),
        (["w1", "p9", "m1"], ["w1", "m1", "p9"], (0, 2, 1)),
        (["w1", "p9", "m1"], ["w1", "p8", "m1"], (0, 1, 2)),
        (["w1", "p9", "m1"], ["w1", "t1", "p9", "m1"], (0, None, 1, 2)),
        (["w1", "p9", "m1"], ["w1", "m1"], (0, 2)),
        (["p9", "p9"], ["p8", "p9"], (0, 1)),
        (["p9", "p9"], ["p9", "p9", "p9"], (0, 1, None)),
        (["p9", "p7"], ["p7", "p9"], (1, 0)),
        ([], ["w1"], (None,)),
        (["w1"], [], ()),
    ],
)
def test_a_step_is_found_again(before, after, expected):
    assert came_from(before, after, kind) == expected
