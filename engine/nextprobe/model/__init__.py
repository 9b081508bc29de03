"""From a pack to arrays: hypotheses, likelihoods, bench moves, costs."""
