"""What a meter's figure is worth: its uncertainty, and the share of it on each side of a limit."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from nextprobe.errors import QuantityError
from nextprobe.quantity.bands import Band
from nextprobe.quantity.figure import tidy
from nextprobe.quantity.reading import Reading

_ACCURACY = re.compile(r"(?:(?:±|\+/-)\s*)?(?:([0-9]*\.?[0-9]+)\s*%)?\s*(\+)?\s*(?:([0-9]*\.?[0-9]+)\s*counts?)?")
_SEEN = 1e-9
"""A reading with less than this share in all ranges together lies in none of them."""


@dataclass(frozen=True, slots=True)
class Accuracy:
    """A meter's statement: a part of the reading in percent, and steps of its last digit."""

    percent: float
    counts: float

    def limit(self, value: float, step: float) -> float:
        """The greatest error a = percent/100 · |value| + counts · step, in the unit of `value`."""
        return self.percent / 100 * abs(value) + self.counts * step


def parse_accuracy(text: str) -> Accuracy:
    """``0.5 % + 3 counts``, ``1 %`` or ``3 counts``. Raises QuantityError for anything else."""
    shown = tidy(text)
    found = _ACCURACY.fullmatch(shown)
    if found is None or not (found[1] or found[3]) or bool(found[2]) != bool(found[1] and found[3]):
        raise QuantityError(
            f"'{shown}' is not a meter's accuracy.", "Write it as in 0.5 % + 3 counts, 1 % or 3 counts."
        )
    return Accuracy(float(found[1] or 0), float(found[3] or 0))


def meter_step(value: float, counts: float) -> float:
    """One step of the smallest decade range (`counts` steps) that holds `value`; 0 for 0.

    6000 counts: 1.203 V is read in steps of 0.001 V, 12 V in steps of 0.01 V. Raises
    QuantityError when `counts` is not above 0 or `value` is not finite.
    """
    if not counts > 0 or not math.isfinite(counts):
        raise QuantityError(f"A meter of {counts} counts has no range.", "Write counts as in counts: 6000.")
    if not math.isfinite(value):
        raise QuantityError("A range holds no over-limit reading.", "Give a figure.")
    if value == 0:
        return 0.0
    # In decimals, since 6 / 6000 lies just beside 0.001 in binary and would leave its range.
    steps = Decimal(repr(abs(float(value)))) / Decimal(repr(counts))
    power = steps.adjusted()
    if steps > Decimal(1).scaleb(power):
        power += 1
    return float(Decimal(1).scaleb(power))


def rectangular(*half_widths: float) -> float:
    """Standard uncertainty of independent terms, each anywhere within ± its half width.

    u = sqrt(Σ (a_i / √3)²): JCGM 100, 4.3.7 for each term and 5.1.2 for their sum.
    """
    return math.sqrt(math.fsum(a * a for a in half_widths) / 3)


def standard_uncertainty(
    reading: Reading, accuracy: Accuracy | None, counts: float, step: float | None = None
) -> float:
    """Standard uncertainty of `reading`, in its unit (JCGM 100, 4.3.7); 0 for over-limit.

    One term is the meter's limit; `step` is one count of its range, by default of the smallest
    that holds the figure, and for 0 what was typed. The other is typed rounding, half of the last
    digit where that is more than half a step: a meter's own last digit is in its limit already.
    Without `accuracy` rounding is all that is known.
    """
    if math.isinf(reading.value):
        return 0.0
    if accuracy is None:
        return rectangular(reading.half_digit)
    if step is None:
        step = meter_step(reading.value, counts) or 2 * reading.half_digit
    limit = accuracy.limit(reading.value, step)
    # A rounding error must not count the meter's own last digit a second time.
    typed = reading.half_digit if reading.half_digit > step / 2 * (1 + 1e-9) else 0.0
    return rectangular(limit, typed)


def outcome_weights(
    reading: Reading, bands: Mapping[str, Band], u: float, otherwise: str | None = None
) -> dict[str, float]:
    """The share of the reading in each band: of a normal distribution N(value, u), JCGM 106.

    With `otherwise` that outcome takes what no band holds; without it the shares are normalised
    over the bands. They sum to 1, in the order of `bands` (`otherwise` last). With u = 0 the
    band that holds the figure has all, as an over-limit reading's open band has.

    Raises QuantityError when the reading lies in no band and there is no `otherwise`.
    """
    hard = u == 0 or math.isinf(reading.value)
    shares = {
        name: float(_holds(band, reading.value, bands)) if hard else normal_share(reading.value, u, band)
        for name, band in bands.items()
    }
    total = math.fsum(shares.values())
    if otherwise is not None:
        scale = 1 / total if total > 1 else 1.0
        shares = {name: share * scale for name, share in shares.items()}
        shares[otherwise] = shares.get(otherwise, 0.0) + max(0.0, 1.0 - total)
        return shares
    if total < _SEEN:
        raise QuantityError(
            f"'{reading.text}' lies in none of the ranges {', '.join(bands)}.",
            "Check the figure and the meter's range, or name an outcome.",
        )
    return {name: share / total for name, share in shares.items()}


def normal_share(mean: float, u: float, band: Band) -> float:
    """P(low ≤ X < high) of X ~ N(mean, u), by erfc on the nearer side so that tails keep digits."""
    low = (band.low - mean) / (u * math.sqrt(2))
    high = (band.high - mean) / (u * math.sqrt(2))
    if low > 0:
        return 0.5 * (math.erfc(low) - math.erfc(high))
    return 0.5 * (math.erfc(-high) - math.erfc(-low))


def statement(value: float, band: Band, expanded: float) -> str:
    """The four-way statement of ILAC-G8:09/2019, 4.2.3, guard band w = `expanded` (U = 2 u).

    ``pass``: inside the limits by U or more; ``conditional pass``: inside, nearer than U;
    ``conditional fail``: outside by U at most; ``fail``: further outside.
    """
    inside = min(value - band.low, band.high - value)
    if inside >= expanded:
        return "pass"
    if inside >= 0:
        return "conditional pass"
    return "conditional fail" if inside >= -expanded else "fail"


def uncertainty_share(band: Band, expanded: float) -> float:
    """U as a share of half the band's width; near 1 and above, no verdict means much."""
    return expanded / ((band.high - band.low) / 2)


def _holds(band: Band, x: float, bands: Mapping[str, Band]) -> bool:
    """Whether `band` holds `x`; an upper end where no other band goes on belongs to it."""
    return band.contains(x) or (x == band.high and not any(other.contains(x) for other in bands.values()))
