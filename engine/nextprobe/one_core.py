"""How many cores the numeric libraries take: one, as planning works on small arrays.

Small arrays are slower on several cores than on one, and many times slower where these are busy.
"""

from __future__ import annotations

import os

#: What tells the numeric libraries to use one core a process.
ONE_CORE = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS")


def one_core() -> None:
    """From now on numeric libraries that are not loaded yet use one core in this process and in those it starts."""
    os.environ.update(dict.fromkeys(ONE_CORE, "1"))
