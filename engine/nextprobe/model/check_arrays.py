"""Arrays from outside, checked: what is refused names the entry and says why."""

from __future__ import annotations

from typing import Any

import numpy as np

from nextprobe.errors import ModelError
from nextprobe.model.arrays import Bools, Floats


def _array(name: str, value: Any, shape: tuple[int | None, ...]) -> Floats:
    try:
        array = np.asarray(value, dtype=np.float64)
    except (TypeError, ValueError):
        raise ModelError(f"{name} is not an array of numbers.", f"Give numbers in the shape {_shown(shape)}.") from None
    if array.ndim != len(shape) or any(want not in (None, have) for want, have in zip(shape, array.shape, strict=True)):
        raise ModelError(f"{name} has the shape {array.shape}.", f"It must be {_shown(shape)}.")
    return array


def _shown(shape: tuple[int | None, ...]) -> str:
    return "(" + ", ".join("n" if size is None else str(size) for size in shape) + ")"


def _refuse(name: str, array: Floats, wrong: Bools, why: str, cure: str) -> None:
    if wrong.any():
        place = tuple(int(i) for i in np.argwhere(wrong)[0])
        raise ModelError(f"{name}[{', '.join(map(str, place))}] is {array[place]}: {why}.", cure)


def chances(name: str, value: Any, shape: tuple[int | None, ...], *, rows: bool = False, total: bool = True) -> Floats:
    """Probabilities: finite, not negative; a vector with a positive sum, or `rows` that each sum to 1."""
    array = _array(name, value, shape)
    _refuse(name, array, ~np.isfinite(array), "not a finite number", "Give a number in 0..1.")
    _refuse(name, array, array < 0, "below 0", "Give a number in 0..1.")
    if array.size == 0 and total:
        raise ModelError(f"{name} is empty.", "Give at least one entry.")
    if rows:
        sums = array.sum(axis=1)
        off = np.abs(sums - 1.0) > 1e-6
        if off.any():
            row = int(np.argmax(off))
            raise ModelError(f"{name}: row {row} sums to {sums[row]:.6g}.", "Each row must sum to 1.")
        array = array / sums[:, None]
    elif not total:
        _refuse(name, array, array > 1, "above 1", "Give a chance in 0..1.")
    elif array.sum() <= 0:
        raise ModelError(f"{name} sums to 0.", "At least one hypothesis must be possible.")
    return array


def minutes_array(name: str, value: Any, shape: tuple[int | None, ...]) -> Floats:
    """Minutes: finite and not negative."""
    array = _array(name, value, shape)
    _refuse(name, array, ~np.isfinite(array), "not a finite number", "Give minutes.")
    _refuse(name, array, array < 0, "negative minutes", "Give 0 or more.")
    return array


def shortest_ways(name: str, value: Any) -> Floats:
    """(S, S) shortest ways over an array of moves; inf means that there is no move."""
    array = _array(name, value, (None, None))
    if array.shape[0] != array.shape[1] or array.shape[0] == 0:
        raise ModelError(f"{name} has the shape {array.shape}.", "It must be square, one row a bench state.")
    _refuse(name, array, np.isnan(array), "not a number", "Give minutes, or inf where there is no move.")
    _refuse(name, array, array < 0, "negative minutes", "Give 0 or more.")
    ways = array.copy()
    np.fill_diagonal(ways, 0.0)
    for middle in range(len(ways)):
        ways = np.minimum(ways, ways[:, middle, None] + ways[None, middle, :])
    return ways


def indices_or_masks(name: str, value: Any, count: int, states: int) -> Bools:
    """(count, states) masks from masks or from one state index a row; None: every state serves."""
    if value is None:
        return np.ones((count, states), dtype=bool)
    array = np.asarray(value)
    if array.shape == (count, states) and array.dtype == np.bool_:
        if not array.any(axis=1).all():
            row = int(np.argmin(array.any(axis=1)))
            raise ModelError(f"{name}: row {row} has no state that serves.", "Give at least one.")
        return array
    if array.shape != (count,):
        raise ModelError(
            f"{name} has the shape {array.shape}.", f"Give ({count},) state indices or a ({count}, {states}) mask."
        )
    masks = np.zeros((count, states), dtype=bool)
    for row, state in enumerate(array.tolist()):
        masks[row, state_index(f"{name}[{row}]", state, states)] = True
    return masks


def state_index(name: str, value: Any, states: int) -> int:
    """One bench state's index."""
    if isinstance(value, bool) or not isinstance(value, (int, np.integer)) or not 0 <= value < states:
        raise ModelError(f"{name} is {value!r}.", f"Give a state index in 0..{states - 1}.")
    return int(value)


def parts(name: str, value: Any, least: int = 0, most: int | None = None) -> list[Any]:
    """The parts of a list or tuple that holds `least` to `most` of them."""
    if not isinstance(value, (list, tuple, np.ndarray)):
        raise ModelError(f"{name} is {value!r}.", "Give a list or tuple of arrays.")
    if len(value) < least or (most is not None and len(value) > most):
        wanted = str(least) if least == most else f"{least} or {most}"
        raise ModelError(f"{name} has {len(value)} parts.", f"It must have {wanted}.")
    return list(value)


def mask(name: str, value: Any, shape: tuple[int, ...]) -> Bools:
    """Yes or no at each place: True or False, or 1 and 0."""
    try:
        array = np.asarray(value)
    except ValueError:
        raise ModelError(f"{name} is not an array.", f"Give True or False in the shape {_shown(shape)}.") from None
    if array.size == 0 and 0 in shape:
        return np.zeros(shape, dtype=bool)
    if array.shape != shape:
        raise ModelError(f"{name} has the shape {array.shape}.", f"It must be {_shown(shape)}.")
    if array.dtype == np.bool_:
        return np.asarray(array, dtype=np.bool_)
    numbers = _array(name, value, shape)
    _refuse(name, numbers, (numbers != 0) & (numbers != 1), "neither yes nor no", "Give True or False.")
    return np.asarray(numbers == 1)


def without_circle(name: str, wants: Bools) -> Bools:
    """wants (T, T): refused where a measurement in the end wants itself told first."""
    open_: Bools = np.ones(len(wants), dtype=np.bool_)
    while True:
        inner = wants & open_[:, None] & open_[None, :]
        # On a circle something is wanted and something wants; what lacks either is on none.
        on: Bools = np.asarray(inner.any(axis=0) & inner.any(axis=1))
        if (on == open_).all():
            break
        open_ = on
    if open_.any():
        first, then = (int(i) for i in np.argwhere(wants & open_[:, None] & open_[None, :])[0])
        raise ModelError(
            f"{name}[{first}, {then}]: measurement {first} wants {then} told first, and {then} in the end wants "
            "itself or is wanted in a circle.",
            "Take one of these wants out.",
        )
    return wants
