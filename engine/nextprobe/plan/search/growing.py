"""Rows of several arrays that grow together."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from nextprobe.model.arrays import Ints

#: Rows there is room for at first.
FIRST = 256


class Growing:
    """Arrays by name whose first axis has room for more rows; rows that are not in use yet are 0."""

    def __init__(self, **columns: tuple[tuple[int, ...], Any]) -> None:
        self._room = FIRST
        self.count = 0
        self._columns = {name: np.zeros((FIRST, *shape), dtype=dtype) for name, (shape, dtype) in columns.items()}
        #: Bytes of one row.
        self.bytes: int = sum(column[0].nbytes for column in self._columns.values())

    def __getitem__(self, name: str) -> NDArray[Any]:
        return self._columns[name]

    def add(self, count: int) -> Ints:
        """The places of `count` more rows. Arrays that were read before are not those that grow on."""
        while self.count + count > self._room:
            for name, column in self._columns.items():
                more = np.zeros((2 * self._room, *column.shape[1:]), dtype=column.dtype)
                more[: self._room] = column
                self._columns[name] = more
            self._room *= 2
        self.count += count
        return np.arange(self.count - count, self.count)
