"""Work in blocks gives what work in one piece gives, whatever the size and shape."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis.extra import numpy as hnp
from tolerances import ANGLE_DEG, LENGTH_MM

from barmath import BendError, Order, recipe_from_order, shape_from_recipe
from barmath.arrays import BLOCK, in_blocks


def sum_and_product(x, y):
    return x + y, x * y


def test_a_block_is_as_large_as_its_documents_say():
    assert BLOCK == 12_000


@pytest.mark.parametrize("size", [0, 1, BLOCK - 1, BLOCK, BLOCK + 1, 2 * BLOCK, 2 * BLOCK + 1])
def test_every_size_is_computed_to_its_last_element(size):
    x, y = np.arange(size, dtype=float), np.linspace(1.0, 2.0, size)
    total, product = in_blocks(sum_and_product, x, y)
    np.testing.assert_array_equal(total, x + y)
    np.testing.assert_array_equal(product, x * y)


@pytest.mark.parametrize("shape", [(3, 4), (BLOCK, 3), (2, 3, BLOCK), (BLOCK + 1, 1)])
def test_every_shape_comes_back(shape):
    x = np.arange(np.prod(shape), dtype=float).reshape(shape)
    total, _ = in_blocks(sum_and_product, x, 2.0)
    assert total.shape == shape
    np.testing.assert_array_equal(total, x + 2.0)


def test_a_column_and_a_row_make_a_table_larger_than_a_block():
    column, row = np.arange(300.0)[:, None], np.arange(100.0)
    total, product = in_blocks(sum_and_product, column, row)
    np.testing.assert_array_equal(total, column + row)
    np.testing.assert_array_equal(product, column * row)


@given(hnp.mutually_broadcastable_shapes(num_shapes=2, max_dims=3, max_side=5))
def test_any_shapes_that_broadcast_agree_with_numpys_own(shapes):
    x, y = (np.arange(1.0, 1.0 + np.prod(shape, dtype=int)).reshape(shape) for shape in shapes.input_shapes)
    total, product = in_blocks(sum_and_product, x, y)
    assert np.shape(total) == shapes.result_shape
    np.testing.assert_array_equal(total, x + y)
    np.testing.assert_array_equal(product, x * y)


def test_numbers_alone_give_plain_floats():
    total, product = in_blocks(sum_and_product, 2.0, 3.0)
    assert (total, product) == (5.0, 6.0)
    assert type(total) is float
    assert type(product) is float


@pytest.mark.parametrize("size", [3, BLOCK + 1])
def test_a_number_remains_a_number_inside_and_a_constant_fills_its_array(size):
    seen = []

    def kernel(x, y):
        seen.append(np.ndim(y))
        return x, y

    _, constant = in_blocks(kernel, np.zeros(size), 7.0)
    assert set(seen) == {0}
    assert constant.shape == (size,)
    assert np.all(constant == 7.0)


@pytest.mark.parametrize("size", [3, BLOCK + 1])
def test_the_results_are_the_callers_to_change(size):
    x = np.zeros(size)
    first, second = in_blocks(lambda x: (x, x), x)
    first += 1.0
    assert not x.any()
    assert not second.any()


@pytest.mark.parametrize("size", [BLOCK - 1, BLOCK, BLOCK + 1])
@pytest.mark.parametrize("upsweep", [None, 2.0])
def test_orders_come_back_whole_across_the_edge_of_a_block(size, upsweep):
    order = Order(np.linspace(75.0, 95.0, size), np.linspace(5.0, 12.0, size), 800.0, upsweep)
    shape = shape_from_recipe(recipe_from_order(order, 90.0, 28.0))
    np.testing.assert_allclose(shape.rise_mm, order.rise_mm, atol=LENGTH_MM, rtol=0)
    np.testing.assert_allclose(shape.backsweep_deg, order.backsweep_deg, atol=ANGLE_DEG, rtol=0)


def test_a_refusal_says_the_place_in_the_whole_array_and_not_in_its_block():
    bends = np.full(BLOCK + 10, 28.0)
    bends[BLOCK + 3] = 11.0
    with pytest.raises(BendError, match=rf"got 11.0 deg \(element {BLOCK + 3} of \({BLOCK + 10},\)\)"):
        recipe_from_order(Order(80.0, 12.0, 800.0), 90.0, bends)


def test_shapes_that_do_not_belong_together_are_refused():
    with pytest.raises(BendError, match=r": these numbers must have arrays that fit together"):
        in_blocks(sum_and_product, np.zeros(2), np.zeros(3))
