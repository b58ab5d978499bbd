"""A frozen record passes each value through the check of its field, keeps arrays of its own, and checks what belongs
together last.
"""

from dataclasses import FrozenInstanceError, astuple, fields, replace

import numpy as np
import pytest

from barmath.fields import frozen, keep, passing
from barmath.refusal import BendError, Number, checked, remedy_first


@frozen
class Plank:
    length_mm: Number = passing(checked, "length", unit="mm", above=0.0)
    width_mm: Number = passing(checked, "width", unit="mm", above=0.0, default=20.0)
    notch_mm: Number | None = passing(checked, "notch", unit="mm", least=0.0, default=None)
    name: str = ""


@frozen
class Post(Plank):
    foot_mm: Number = passing(checked, "foot", unit="mm", least=1.0, default=5.0)

    def _check_together(self) -> None:
        if self.foot_mm > self.length_mm:
            raise BendError("foot must be shorter than the post")
        keep(self, name=self.name or "post")


def test_a_value_is_kept_as_its_check_returns_it():
    assert astuple(Plank(np.float32(3.0), 4)) == (3.0, 4.0, None, "")
    assert type(Plank(3).length_mm) is float


@pytest.mark.parametrize(
    ("make", "sentence"),
    [
        (lambda: Plank(0.0), "length must be above 0.0 mm, got 0.0 mm: type a number above 0.0 mm"),
        (lambda: Plank(1.0, notch_mm=-1.0), "notch must be at least 0.0 mm, got -1.0 mm: type a number from 0.0 mm up"),
        (lambda: Plank(None), "length must be a number in mm, got None: type a number, without quotes"),
        (lambda: Plank(1.0, None), "width must be a number in mm, got None: type a number, without quotes"),
        (
            lambda: replace(Plank(1.0), length_mm=-1.0),
            "length must be above 0.0 mm, got -1.0 mm: type a number above 0.0 mm",
        ),
        (lambda: Post(9.0, 0.0), "width must be above 0.0 mm, got 0.0 mm: type a number above 0.0 mm"),
        (lambda: Post(9.0, foot_mm=0.5), "foot must be at least 1.0 mm, got 0.5 mm: type a number from 1.0 mm up"),
        (lambda: Post(9.0, foot_mm=10.0), "foot must be shorter than the post"),
        (
            lambda: Plank(np.ones(2), np.ones(3)),
            "the plank must have arrays that fit together, got shapes (2,) and (3,): "
            "give one number, or one for each bar",
        ),
    ],
)
def test_a_value_that_fails_its_check_is_refused(make, sentence):
    with pytest.raises(BendError) as refusal:
        make()
    assert str(refusal.value) == remedy_first(sentence)


def test_a_check_of_all_fields_may_set_some():
    assert Post(9.0).name == "post"


def test_an_array_is_copied_unless_nobody_can_change_it():
    theirs = np.ones(3)
    made = Plank(theirs)
    theirs[:] = 7.0
    assert np.all(made.length_mm == 1.0)
    assert replace(made, width_mm=30.0).length_mm is made.length_mm


def test_a_record_is_a_dataclass_that_cannot_be_changed():
    assert [one.name for one in fields(Post)] == ["length_mm", "width_mm", "notch_mm", "name", "foot_mm"]
    with pytest.raises(FrozenInstanceError):
        Plank(1.0).length_mm = 2.0
