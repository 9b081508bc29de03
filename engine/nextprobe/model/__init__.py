"""From a pack to arrays: hypotheses, likelihoods, bench moves, costs."""

from nextprobe.model.model import Model

__all__ = ["Model"]
