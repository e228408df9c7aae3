"""Arrays come back from text as they went in."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as some
from hypothesis.extra.numpy import arrays

from workbench.takeaway.packing import lab_steps, packed, unpacked


@given(
    arrays(
        some.sampled_from([np.uint8, np.uint16, np.int16]),
        some.tuples(some.integers(1, 40), some.sampled_from([1, 3])),
    )
)
def test_packing_loses_nothing(values):
    assert np.array_equal(unpacked(packed(values)), values)


def test_a_table_is_a_fifth_of_its_size_and_a_hundredth_of_lab_away():
    from workbench.colour.spaces import standard_profile
    from workbench.demo import demo_papers
    from workbench.live.tables import print_table

    table = print_table(standard_profile("sRGB"), demo_papers()[0].profile)
    part = packed(lab_steps(table))
    assert len(part["data"]) < table.nbytes / 3
    assert unpacked(part) / 100 == pytest.approx(table, abs=0.0051)
