"""What counts now on a walk, as it may be read."""

from __future__ import annotations

from collections.abc import Collection
from typing import TYPE_CHECKING

from nextprobe.pack.pack import Pack
from nextprobe.quantity import Band
from nextprobe.walk.ask import Step
from nextprobe.walk.beliefs import Beliefs
from nextprobe.walk.open_steps import effective_options
from nextprobe.walk.reading import bands_of
from nextprobe.walk.state import State

if TYPE_CHECKING:
    from nextprobe.walk.evidence import Believer, Doubt


class Standing:
    """The state of a walk and the belief that goes with it, read only."""

    pack: Pack
    _state: State
    _beliefs: Beliefs

    @property
    def _believer(self) -> Believer:
        return self._beliefs.believer

    @property
    def bench(self) -> dict[str, str]:
        """The bench as it is, condition by condition."""
        return dict(self._state.bench)

    @property
    def options(self) -> dict[str, str]:
        """The options that are known."""
        return dict(self._state.options)

    @property
    def path(self) -> tuple[Step, ...]:
        """What was asked and told, in order; what was taken back is left out."""
        return self._state.path

    @property
    def minutes(self) -> float:
        """Hands-on minutes so far, moves among them."""
        return self._state.minutes

    @property
    def wait(self) -> float:
        """Unattended minutes so far."""
        return self._state.wait

    @property
    def money(self) -> float:
        """Parts so far, in the pack's currency."""
        return self._state.money

    @property
    def remarks(self) -> tuple[str, ...]:
        """The ids of what was remarked."""
        return self._state.remarks

    @property
    def proving(self) -> str:
        """The id of the repair that is being proved; "" if none."""
        return self._state.proof.repair if self._state.proof is not None else ""

    @property
    def see_also(self) -> str:
        """The pack that fits better, where a reading said so."""
        return self._state.see_also

    @property
    def known_options(self) -> dict[str, str]:
        """The options that are known, and the defaults that are held until they are."""
        return self._options()

    def bands(self, id: str) -> dict[str, Band] | None:
        """The band of each outcome of a measurement on this machine now; None where an option that decides is unknown.

        Raises QuantityError where they cannot be resolved.
        """
        return bands_of(self.pack.measurements[id], self._options(), self._state.told, self.pack)

    def belief(self) -> dict[str, float]:
        """The probability that each cause is present, and ``unlisted``."""
        return self._believer.present(self._believer.hypotheses(self._options()), self._state.evidence)

    def any_present(self, causes: Collection[str]) -> float:
        """The probability that at least one of `causes` is present; ``unlisted`` counts as one."""
        return self._believer.any_present(self._believer.hypotheses(self._options()), self._state.evidence, causes)

    def doubt(self) -> Doubt:
        """The conflict of all readings in bits, and the reading that is likeliest wrong."""
        return self._believer.doubt(self._believer.hypotheses(self._options()), self._state.evidence)

    def conflict(self) -> float:
        """Jensen's conflict measure of everything told, in bits; above 0 the readings disagree."""
        hypotheses = self._believer.hypotheses(self._options())
        return self._believer.belief(hypotheses, self._state.evidence).conflict

    def _options(self) -> dict[str, str]:
        return effective_options(self.pack, self._state)
